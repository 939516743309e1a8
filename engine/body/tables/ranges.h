#pragma once

/// Ranges of motion per flexibility profile, degrees. Profiles of the major joints are design values of this project
/// (average near the published means, flexible near the 95th percentile); the others are survey means with the
/// flexible columns from the flexible groups named, or assumed. The straight-knee limit of hip flexion (hamstrings,
/// about 80 to 90) is left out: two-joint muscles are not modelled.

#include "engine/body/measures.h"

#include <array>
#include <cstddef>

namespace steepwright::body::tables {

/// Average, flexible, very flexible.
using ByProfile = std::array<double, 3>;
[[nodiscard]] constexpr double find_for(const ByProfile& values_deg, Flexibility flexibility) {
  return values_deg[static_cast<std::size_t>(flexibility)];
}

// Hip: design profile. Extension: Soucie et al. 2011 (17-18 passive, secondary), dancers 23.5 prone; adduction AAOS 30
// as end with the hip bent, which leaves Boone & Azen's 26 when straight.
inline constexpr ByProfile kHipFlexion = {122, 140, 150};
inline constexpr ByProfile kHipExtension = {18, 21, 24};
inline constexpr ByProfile kHipAbductionStraight = {42, 55, 65};
inline constexpr ByProfile kHipAbductionBent = {50, 65, 80};  ///< with 90 flexion and outward rotation
inline constexpr ByProfile kHipAdduction = {30, 32, 34};
inline constexpr ByProfile kHipExternalRotation = {42, 55, 65};
inline constexpr ByProfile kHipInternalRotation = {38, 45, 50};

// Knee, ankle: design profile. Hyperextension: Soucie 1-2 (average), assumed beyond. Inversion / eversion: AAOS 35 /
// 15, flexible columns assumed.
inline constexpr ByProfile kKneeFlexion = {140, 148, 152};
inline constexpr ByProfile kKneeHyperextension = {1, 3, 6};
inline constexpr ByProfile kDorsiflexion = {15, 22, 28};
inline constexpr ByProfile kPlantarflexion = {55, 65, 75};
inline constexpr ByProfile kInversion = {35, 40, 45};
inline constexpr ByProfile kEversion = {15, 20, 25};

// Shoulder, arm against thorax: design profile. Extension: AAOS 60, Boone & Azen 62, Macedo & Magee 70 (women).
// Horizontal abduction / adduction at 90: 45 behind, 135 in front (AAOS, secondary, unverified there). Internal
// rotation at 90 abduction: AAOS 70, Macedo & Magee 94.
inline constexpr ByProfile kShoulderElevation = {172, 182, 188};
inline constexpr ByProfile kShoulderExtension = {60, 66, 72};
inline constexpr ByProfile kShoulderHorizontalAbduction = {45, 52, 60};
inline constexpr ByProfile kShoulderHorizontalAdduction = {45, 50, 55};  ///< past straight ahead, across the chest
inline constexpr ByProfile kShoulderExternalRotation = {95, 105, 115};
inline constexpr ByProfile kShoulderInternalRotation = {70, 82, 94};

// Girdle. Elevation and protraction ends follow from reach (make_body). Depression: Neumann 10; retraction: 15-30.
inline constexpr double kGirdleDepression = 10.0;
inline constexpr ByProfile kGirdleRetraction = {20, 25, 30};

// Elbow: Boone & Azen 143, AAOS 150; hyperextension Soucie 0.8 men, 4.7 women. Forearm: Boone & Azen 76 / 82, Macedo &
// Magee 92 / 96. Wrist: Boone & Azen 76 / 75, 22 / 36; Macedo & Magee 93 / 86, 18 / 41. Middle column assumed.
inline constexpr ByProfile kElbowFlexion = {145, 150, 155};
inline constexpr ByProfile kElbowHyperextension = {1, 5, 10};
inline constexpr ByProfile kPronation = {78, 85, 92};
inline constexpr ByProfile kSupination = {82, 90, 96};
inline constexpr ByProfile kWristFlexion = {76, 85, 93};
inline constexpr ByProfile kWristExtension = {75, 80, 86};
inline constexpr ByProfile kUlnarDeviation = {36, 39, 42};
inline constexpr ByProfile kRadialDeviation = {22, 24, 26};

// Neck: Ferrario et al. 2002, totals 130-136 and 155-162 (read), split flexion : extension as the medians of
// NASA-STD-3000 (from memory). Held the same for all profiles.
inline constexpr double kNeckFlexion = 50.0;
inline constexpr double kNeckExtension = 80.0;
inline constexpr double kNeckRotation = 78.0;

// Trunk, whole: side-bend and rotation design profile; flexion 80 / extension 25 AAOS, flexible columns assumed.
inline constexpr ByProfile kTrunkFlexion = {80, 88, 95};
inline constexpr ByProfile kTrunkExtension = {25, 32, 40};
inline constexpr ByProfile kTrunkSideBend = {35, 40, 45};
inline constexpr ByProfile kTrunkRotation = {45, 52, 60};
// Lumbar share of the thoracolumbar range, from the middles of the published lumbar and thoracic shares (secondary):
// flexion 62.5 : 27.5, extension 28 : 22.5, side-bend 25 : 30, rotation 8.5 : 46.
inline constexpr double kLumbarShareFlexion = 62.5 / 90.0;
inline constexpr double kLumbarShareExtension = 28.0 / 50.5;
inline constexpr double kLumbarShareSideBend = 25.0 / 55.0;
inline constexpr double kLumbarShareRotation = 8.5 / 54.5;

}  // namespace steepwright::body::tables
