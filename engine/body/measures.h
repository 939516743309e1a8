#pragma once

/// What is known of a climber's body, as the climber file gives it (SI). Everything that is not measured follows
/// from sex and stature by regression.

#include <optional>
#include <string>

namespace steepwright::body {

enum class Sex { kFemale, kMale };
enum class Flexibility { kAverage, kFlexible, kVeryFlexible };

struct Measures {
  std::string name;
  Sex sex = Sex::kMale;
  double stature_m = 1.755;
  double mass_kg = 72.0;
  std::optional<double> span_m;
  std::optional<double> sitting_height_m;
  std::optional<double> inseam_m;  ///< crotch height
  std::optional<double> hand_length_m;
  std::optional<double> foot_length_m;
  Flexibility flexibility = Flexibility::kAverage;
  /// Joint strength as a factor on the population median of the person's sex, mass and stature.
  double arm_strength = 1.0;   ///< shoulder, girdle, elbow, forearm, wrist
  double core_strength = 1.0;  ///< trunk, neck
  double leg_strength = 1.0;   ///< hip, knee, ankle
};

}  // namespace steepwright::body
