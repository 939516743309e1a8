#pragma once

/// Bodies as a population has them: stature, span, sitting height (and so the legs' share) and mass drawn together from
/// the ANSUR II survey's joint distribution, per sex.

#include "engine/core/random.h"
#include "engine/move/scene.h"

#include <cstdint>
#include <optional>

namespace steepwright::study {

/// Spreads and correlations of one sex around the lines by stature of body/tables/ansur.h, mm and kg: 2012 US Army
/// survey ANSUR II (4,082 men, 1,986 women; Gordon et al. 2014, computed from the public data, read).
struct SurveyMoments {
  double stature_mean, stature_sd;
  double span_residual_sd, sitting_residual_sd;  ///< at one stature
  double span_sitting_r;                         ///< plain correlation of span and sitting height
  double span_stature_r, sitting_stature_r;
  double mass_residual_sd;  ///< kg, at one stature
};
[[nodiscard]] const SurveyMoments& survey_moments(body::Sex sex);

/// Correlation of span and sitting height among people of one stature: long arms go with long legs, so it is negative.
[[nodiscard]] double find_residual_correlation(const SurveyMoments& moments);

/// Draws measures of one person; what is not drawn (flexibility, strength factors) is as in `like`. Normal in all, the
/// rest of the mass independent of span and sitting height (assumed: published moments do not tell); the mass at least
/// that of a body mass index of 16.
[[nodiscard]] body::Measures draw_measures(body::Sex sex, const body::Measures& like, RandomStream& random);

/// The climber in another body: muscles and fingers as strong for the mass as before.
[[nodiscard]] move::Climber put_in_body(const move::Climber& climber, const body::Measures& measures);

}  // namespace steepwright::study
