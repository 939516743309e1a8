#pragma once

/// Body dimensions by stature: mean = intercept + slope * stature, per sex (mm). Computed from the public 2012 US Army
/// survey ANSUR II (4,082 men, 1,986 women; Gordon et al. 2014; raw data read). Barefoot, light clothing.

#include "engine/body/measures.h"

namespace steepwright::body::tables {

/// dimension in mm = intercept + slope * stature in mm.
struct StatureLine {
  double intercept_mm = 0.0;
  double slope = 0.0;
};

/// Men, women.
struct StatureLines {
  StatureLine male, female;
};

/// The dimension in m for a stature in m.
[[nodiscard]] constexpr double find_dimension(const StatureLines& lines, Sex sex, double stature_m) {
  const StatureLine& line = sex == Sex::kMale ? lines.male : lines.female;
  return 1e-3 * line.intercept_mm + line.slope * stature_m;
}

// Heights above the floor, standing.
inline constexpr StatureLines kCervicaleHeight = {{-78.1, 0.9084}, {-90.4, 0.9126}};
inline constexpr StatureLines kAcromialHeight = {{-126.9, 0.8926}, {-96.9, 0.8793}};
inline constexpr StatureLines kOmphalionHeight = {{-157.4, 0.6912}, {-173.1, 0.7082}};
inline constexpr StatureLines kTrochanterionHeight = {{-169.9, 0.6098}, {-126.9, 0.5970}};
inline constexpr StatureLines kCrotchHeight = {{-176.3, 0.5821}, {-179.1, 0.5904}};
inline constexpr StatureLines kTibialHeight = {{-119.1, 0.3344}, {-103.6, 0.3325}};
inline constexpr StatureLines kLateralMalleolusHeight = {{5.0, 0.0387}, {6.0, 0.0348}};
inline constexpr StatureLines kSittingHeight = {{205.8, 0.4057}, {215.8, 0.3935}};

// Lengths.
inline constexpr StatureLines kAcromionRadiale = {{-20.9, 0.2028}, {-34.0, 0.2120}};
inline constexpr StatureLines kRadialeStylion = {{-14.4, 0.1608}, {-24.5, 0.1632}};
inline constexpr StatureLines kHandLength = {{21.7, 0.0977}, {16.2, 0.1012}};
inline constexpr StatureLines kFootLength = {{30.1, 0.1373}, {18.5, 0.1399}};
inline constexpr StatureLines kHeadLength = {{133.1, 0.0378}, {122.2, 0.0415}};

// Breadths and depths.
inline constexpr StatureLines kHandBreadth = {{35.8, 0.0298}, {32.1, 0.0283}};
inline constexpr StatureLines kFootBreadth = {{41.5, 0.0344}, {42.8, 0.0307}};
inline constexpr StatureLines kBicristalBreadth = {{47.9, 0.1295}, {55.7, 0.1336}};
inline constexpr StatureLines kHipBreadth = {{108.3, 0.1352}, {91.9, 0.1608}};
inline constexpr StatureLines kChestBreadth = {{129.4, 0.0911}, {106.2, 0.1002}};
inline constexpr StatureLines kChestDepth = {{105.8, 0.0843}, {88.0, 0.0979}};

// Reaches of the whole person.
inline constexpr StatureLines kSpan = {{29.4, 1.0162}, {-63.6, 1.0586}};
/// Stature - sitting height + seated overhead fingertip reach.
inline constexpr StatureLines kStandingOverheadReach = {{-153.3, 1.3768}, {-189.1, 1.3943}};

/// Spacing of the shoulder joints that reproduces the span of a model with straight arms of
/// acromion-radiale * (1 - 0.104) + radiale-stylion + hand length (computed per person; about 0.70 biacromial breadth).
inline constexpr StatureLines kShoulderSpacing = {{52.4, 0.1359}, {13.8, 0.1498}};

/// Body mass in kg = intercept + slope * stature in mm.
[[nodiscard]] constexpr double find_survey_mass(Sex sex, double stature_m) {
  return sex == Sex::kMale ? -85.3 + 97.3 * stature_m : -80.9 + 91.3 * stature_m;
}

}  // namespace steepwright::body::tables
