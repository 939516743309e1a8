#include "engine/study/population.h"

#include "engine/body/tables/ansur.h"
#include "engine/core/units.h"

#include <algorithm>
#include <cmath>

namespace steepwright::study {

namespace {

constexpr SurveyMoments kMen = {.stature_mean = 1756.2,
                                .stature_sd = 68.6,
                                .span_residual_sd = 48.1,
                                .sitting_residual_sd = 22.4,
                                .span_sitting_r = 0.48,
                                .span_stature_r = 0.823,
                                .sitting_stature_r = 0.779,
                                .mass_residual_sd = 12.6};
constexpr SurveyMoments kWomen = {.stature_mean = 1628.5,
                                  .stature_sd = 64.2,
                                  .span_residual_sd = 47.6,
                                  .sitting_residual_sd = 21.4,
                                  .span_sitting_r = 0.43,
                                  .span_stature_r = 0.819,
                                  .sitting_stature_r = 0.763,
                                  .mass_residual_sd = 9.3};

/// Below this body mass index nobody climbs (assumed).
constexpr double kLeastBodyMassIndex = 16.0;
/// Draws further out than this many standard deviations are drawn back to it: bodies that no survey has seen.
constexpr double kMostSpread = 3.0;

double draw(RandomStream& random) { return std::clamp(random.normal(), -kMostSpread, kMostSpread); }

}  // namespace

const SurveyMoments& survey_moments(body::Sex sex) { return sex == body::Sex::kMale ? kMen : kWomen; }

double find_residual_correlation(const SurveyMoments& m) {
  const double left = std::sqrt(1.0 - m.span_stature_r * m.span_stature_r);
  const double right = std::sqrt(1.0 - m.sitting_stature_r * m.sitting_stature_r);
  return (m.span_sitting_r - m.span_stature_r * m.sitting_stature_r) / (left * right);
}

body::Measures draw_measures(body::Sex sex, const body::Measures& like, RandomStream& random) {
  const SurveyMoments& m = survey_moments(sex);
  const double stature_m = m_from_mm(m.stature_mean + m.stature_sd * draw(random));
  const double span_draw = draw(random);
  const double r = find_residual_correlation(m);
  const double sitting_draw = r * span_draw + std::sqrt(1.0 - r * r) * draw(random);
  const double mass_draw = draw(random);
  body::Measures drawn = like;
  drawn.name.clear();
  drawn.sex = sex;
  drawn.stature_m = stature_m;
  drawn.span_m = body::tables::find_dimension(body::tables::kSpan, sex, drawn.stature_m) +
                 m_from_mm(m.span_residual_sd * span_draw);
  drawn.sitting_height_m = body::tables::find_dimension(body::tables::kSittingHeight, sex, drawn.stature_m) +
                           m_from_mm(m.sitting_residual_sd * sitting_draw);
  drawn.inseam_m.reset();
  drawn.hand_length_m.reset();
  drawn.foot_length_m.reset();
  drawn.mass_kg = std::max(body::tables::find_survey_mass(sex, drawn.stature_m) + m.mass_residual_sd * mass_draw,
                           kLeastBodyMassIndex * drawn.stature_m * drawn.stature_m);
  return drawn;
}

move::Climber put_in_body(const move::Climber& climber, const body::Measures& measures) {
  move::Climber moved = climber;
  moved.measures = measures;
  moved.fingers.edge_force_N *= measures.mass_kg / climber.measures.mass_kg;
  moved.middle_finger_m = 0.0;
  moved.finger_breadth_m = 0.0;
  return moved;
}

}  // namespace steepwright::study
