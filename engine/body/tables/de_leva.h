#pragma once

/// Segment masses, centres of mass and radii of gyration: de Leva 1996, Table 4 (adjusted from Zatsiorsky et al.;
/// read in a stored copy of the table), and joint centres against bony landmarks: de Leva 1996, Table 2 (men; read in a
/// secondary source, used for women too). Centres of mass are measured from the first-named end.

#include "engine/body/measures.h"

#include <array>

namespace steepwright::body::tables {

struct SegmentInertia {
  double mass_percent = 0.0;
  double com_percent = 0.0;                        ///< of the segment's length
  double gyration_antero_posterior_percent = 0.0;  ///< radius of gyration about the axis of that name
  double gyration_medio_lateral_percent = 0.0;
  double gyration_longitudinal_percent = 0.0;
};

enum class InertiaSegment {
  kHead,
  kUpperTrunk,
  kMiddleTrunk,
  kLowerTrunk,
  kUpperArm,
  kForearm,
  kHand,
  kThigh,
  kShank,
  kFoot
};
inline constexpr std::size_t kInertiaSegmentCount = 10;

inline constexpr std::array<SegmentInertia, kInertiaSegmentCount> kInertiaMale = {{
    {6.94, 50.02, 30.3, 31.5, 26.1},   // head: vertex to cervicale
    {15.96, 50.66, 50.5, 32.0, 46.5},  // upper trunk: cervicale to xiphion
    {16.33, 45.02, 48.2, 38.3, 46.8},  // middle trunk: xiphion to omphalion
    {11.17, 61.15, 61.5, 55.1, 58.7},  // lower trunk: omphalion to mid-hip
    {2.71, 57.72, 28.5, 26.9, 15.8},   // upper arm: shoulder to elbow
    {1.62, 45.74, 27.6, 26.5, 12.1},   // forearm: elbow to wrist
    {0.61, 36.24, 28.8, 23.5, 18.4},   // hand: wrist to tip of the middle finger
    {14.16, 40.95, 32.9, 32.9, 14.9},  // thigh: hip to knee
    {4.33, 43.95, 25.1, 24.6, 10.2},   // shank: knee to ankle
    {1.37, 44.15, 25.7, 24.5, 12.4},   // foot: heel to toe tip
}};

inline constexpr std::array<SegmentInertia, kInertiaSegmentCount> kInertiaFemale = {{
    {6.68, 48.41, 27.1, 29.5, 26.1},
    {15.45, 50.50, 46.6, 31.4, 44.9},
    {14.65, 45.12, 43.3, 35.4, 41.5},
    {12.47, 49.20, 43.3, 40.2, 44.4},
    {2.55, 57.54, 27.8, 26.0, 14.8},
    {1.38, 45.59, 26.1, 25.7, 9.4},
    {0.56, 34.27, 24.4, 20.8, 15.4},
    {14.78, 36.12, 36.9, 36.4, 16.2},
    {4.81, 43.52, 26.7, 26.3, 9.2},
    {1.29, 40.14, 29.9, 27.9, 13.9},
}};

/// Sum over the whole body, %: head and trunk once, limb segments twice (men 100.00, women 99.99: rounding in print).
[[nodiscard]] constexpr double find_mass_sum(const std::array<SegmentInertia, kInertiaSegmentCount>& table) {
  double sum = 0.0;
  for (std::size_t i = 0; i < kInertiaSegmentCount; ++i) sum += (i < 4 ? 1.0 : 2.0) * table[i].mass_percent;
  return sum;
}

/// The row of a segment with its mass as a fraction, normalised so that the whole body has exactly 1.
struct NormalisedInertia {
  double mass_fraction = 0.0, com_fraction = 0.0;
  double gyration_antero_posterior = 0.0, gyration_medio_lateral = 0.0, gyration_longitudinal = 0.0;
};
[[nodiscard]] constexpr NormalisedInertia find_inertia(Sex sex, InertiaSegment segment) {
  const auto& table = sex == Sex::kMale ? kInertiaMale : kInertiaFemale;
  const SegmentInertia& row = table[static_cast<std::size_t>(segment)];
  return {row.mass_percent / find_mass_sum(table), 0.01 * row.com_percent, 0.01 * row.gyration_antero_posterior_percent,
          0.01 * row.gyration_medio_lateral_percent, 0.01 * row.gyration_longitudinal_percent};
}

// Joint centres against landmarks, as shares of the length beside them, so that they scale with the person.
inline constexpr double kShoulderBelowAcromion = 0.104;        ///< of acromion-radiale (34.5 mm)
inline constexpr double kElbowAboveRadiale = 15.6 / 335.2;     ///< of acromion-radiale (14.3 to 16.8 mm)
inline constexpr double kWristBelowStylion = 2.0 / 267.9;      ///< of radiale-stylion (1.5 to 2.4 mm)
inline constexpr double kHipAboveTrochanterion = 3.2 / 900.9;  ///< of trochanterion height (3.2 mm)
inline constexpr double kKneeAboveTibiale = 34.2 / 468.2;      ///< of tibial height (33.5 to 35.0 mm)
/// Ankle below the lateral malleolus: knee-ankle 440.3 mm against knee-malleolus 434.0 mm (Table 4), of the malleolus
/// height of ANSUR II men.
inline constexpr double kAnkleBelowMalleolus = 6.3 / 72.9;
/// Cervicale-xiphion of cervicale-hip (Table 4: 242.1 of 603.3 mm men, 228.0 of 614.8 mm women).
[[nodiscard]] constexpr double find_upper_trunk_share(Sex sex) {
  return sex == Sex::kMale ? 242.1 / 603.3 : 228.0 / 614.8;
}
/// Half the spacing of the hip joints, of the bicristal breadth: 92 mm of 275.4 mm in men (Bell et al. 1990, 36 % of
/// the breadth between the anterior iliac spines each side, secondary source; the same share assumed for women).
inline constexpr double kHipHalfSpacing = 92.0 / 275.4;

}  // namespace steepwright::body::tables
