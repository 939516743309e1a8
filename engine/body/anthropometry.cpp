#include "engine/body/anthropometry.h"

#include "engine/body/tables/ansur.h"
#include "engine/body/tables/de_leva.h"

#include <algorithm>
#include <cmath>

namespace steepwright::body {

namespace {

// Bounds on how far measured values may stretch a body, so that contradictory ones still give segments with length.
constexpr double kLeastArmScale = 0.7;
constexpr double kMostArmScale = 1.4;
constexpr double kMostHipShift_of_stature = 0.08;
constexpr double kLeastFleshScale = 0.8;
constexpr double kMostFleshScale = 1.3;

void set_legs_and_trunk(const Measures& measures, Lengths& lengths) {
  const Sex sex = measures.sex;
  const double stature = measures.stature_m;
  const double malleolus = find_dimension(tables::kLateralMalleolusHeight, sex, stature);
  const double tibial = find_dimension(tables::kTibialHeight, sex, stature);
  const double trochanterion = find_dimension(tables::kTrochanterionHeight, sex, stature);
  const double acromion_radiale = find_dimension(tables::kAcromionRadiale, sex, stature);
  lengths.stature = stature;
  lengths.ankle_height = malleolus * (1.0 - tables::kAnkleBelowMalleolus);
  lengths.knee_height = tibial * (1.0 + tables::kKneeAboveTibiale);
  lengths.hip_height = trochanterion * (1.0 + tables::kHipAboveTrochanterion);
  lengths.omphalion_height = find_dimension(tables::kOmphalionHeight, sex, stature);
  lengths.cervicale_height = find_dimension(tables::kCervicaleHeight, sex, stature);
  lengths.shoulder_height =
      find_dimension(tables::kAcromialHeight, sex, stature) - tables::kShoulderBelowAcromion * acromion_radiale;

  // A measured inseam or sitting height moves the hip; the stature stays.
  double shift = 0.0;
  int n_measured = 0;
  if (measures.inseam_m) {
    shift += *measures.inseam_m - find_dimension(tables::kCrotchHeight, sex, stature);
    ++n_measured;
  }
  if (measures.sitting_height_m) {
    shift -= *measures.sitting_height_m - find_dimension(tables::kSittingHeight, sex, stature);
    ++n_measured;
  }
  if (n_measured > 0) {
    const double most = kMostHipShift_of_stature * stature;
    shift = std::clamp(shift / n_measured, -most, most);
    // Thigh and shank keep their proportion; the lumbar joint keeps its share of the trunk.
    const double leg_scale = 1.0 + shift / (lengths.hip_height - lengths.ankle_height);
    const double lumbar_share =
        (lengths.omphalion_height - lengths.hip_height) / (lengths.cervicale_height - lengths.hip_height);
    lengths.knee_height = lengths.ankle_height + leg_scale * (lengths.knee_height - lengths.ankle_height);
    lengths.hip_height += shift;
    lengths.omphalion_height = lengths.hip_height + lumbar_share * (lengths.cervicale_height - lengths.hip_height);
  }
  lengths.xiphion_height =
      lengths.cervicale_height - tables::find_upper_trunk_share(sex) * (lengths.cervicale_height - lengths.hip_height);
}

void set_arms(const Measures& measures, Lengths& lengths) {
  const Sex sex = measures.sex;
  const double stature = measures.stature_m;
  const double acromion_radiale = find_dimension(tables::kAcromionRadiale, sex, stature);
  const double radiale_stylion = find_dimension(tables::kRadialeStylion, sex, stature);
  const double wrist_below = tables::kWristBelowStylion * radiale_stylion;
  const double elbow_above = tables::kElbowAboveRadiale * acromion_radiale;
  const double survey_hand = find_dimension(tables::kHandLength, sex, stature);
  lengths.shoulder_half_spacing = 0.5 * find_dimension(tables::kShoulderSpacing, sex, stature);
  lengths.upper_arm = acromion_radiale * (1.0 - tables::kShoulderBelowAcromion) - elbow_above;
  lengths.forearm = radiale_stylion + elbow_above + wrist_below;
  lengths.hand_length = measures.hand_length_m.value_or(survey_hand);
  lengths.survey_arm = lengths.upper_arm + lengths.forearm + survey_hand - wrist_below;

  if (measures.span_m) {
    const double arm = 0.5 * *measures.span_m - lengths.shoulder_half_spacing;
    const double bones = lengths.upper_arm + lengths.forearm - wrist_below;
    const double scale = measures.hand_length_m ? (arm - lengths.hand_length) / bones : arm / lengths.survey_arm;
    const double bounded = std::clamp(scale, kLeastArmScale, kMostArmScale);
    lengths.upper_arm *= bounded;
    lengths.forearm = bounded * (lengths.forearm - wrist_below) + wrist_below;
    if (!measures.hand_length_m) lengths.hand_length *= bounded;
  }
  lengths.wrist_to_tip = lengths.hand_length - wrist_below;
  lengths.hand_breadth = find_dimension(tables::kHandBreadth, sex, stature) * lengths.hand_length / survey_hand;
}

}  // namespace

Lengths find_lengths(const Measures& measures) {
  Lengths lengths;
  set_legs_and_trunk(measures, lengths);
  set_arms(measures, lengths);
  const Sex sex = measures.sex;
  const double stature = measures.stature_m;
  lengths.hip_half_spacing = tables::kHipHalfSpacing * find_dimension(tables::kBicristalBreadth, sex, stature);
  const double survey_foot = find_dimension(tables::kFootLength, sex, stature);
  lengths.foot_length = measures.foot_length_m.value_or(survey_foot);
  lengths.foot_breadth = find_dimension(tables::kFootBreadth, sex, stature) * lengths.foot_length / survey_foot;
  lengths.head_length = find_dimension(tables::kHeadLength, sex, stature);
  lengths.hip_breadth = find_dimension(tables::kHipBreadth, sex, stature);
  lengths.chest_breadth = find_dimension(tables::kChestBreadth, sex, stature);
  lengths.chest_depth = find_dimension(tables::kChestDepth, sex, stature);
  // Lengths are those of the stature, so flesh of the same length grows with the square root of the mass.
  const double survey_mass = std::max(tables::find_survey_mass(sex, stature), 30.0);
  lengths.flesh_scale = std::clamp(std::sqrt(measures.mass_kg / survey_mass), kLeastFleshScale, kMostFleshScale);
  return lengths;
}

}  // namespace steepwright::body
