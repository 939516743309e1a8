#pragma once

/// Bones of the middle finger and the joint angles of the grips.

#include "engine/core/limb.h"

namespace steepwright::body::tables {

// Buryanov & Kotiuk 2010, Table I (66 adults; read in secondary sources), divided by the mean ANSUR II hand length
// 187.2 mm (assumption: the paper's own hand lengths were not read). The distal phalanx includes the pulp.
inline constexpr double kProximalPhalanx = 0.238;  ///< of hand length
inline constexpr double kMiddlePhalanx = 0.140;
inline constexpr double kDistalPhalanx = 0.114;
inline constexpr double kKnuckleToTip = 0.493;
/// Skin of the pad from the bone's axis, m: about half the depth of a finger 18 mm broad (assumed).
inline constexpr double kPadThickness_m = 0.007;
/// Skin of the palm from the knuckles' axis, m (assumed).
inline constexpr double kPalmThickness_m = 0.012;

/// Flexion in degrees.
struct FingerAngles {
  double mcp_deg = 0.0, pip_deg = 0.0, dip_deg = 0.0;
};

/// PIP: Fischer 2024, eleven elite climbers (read): crimp 87, half crimp 70, open 39. MCP and DIP: assumed; so are
/// pinch and jug. A grip on fewer fingers takes the angles of its whole-hand form.
[[nodiscard]] constexpr FingerAngles find_finger_angles(Grip grip) {
  switch (grip) {
    case Grip::kFullCrimp:
      return {30, 87, -20};
    case Grip::kHalfCrimp:
    case Grip::kThreeFingerHalfCrimp:
      return {25, 70, 0};
    case Grip::kPinch:
      return {40, 45, 20};
    case Grip::kJug:
      return {60, 80, 20};
    case Grip::kSloperPalm:
      return {10, 10, 10};
    case Grip::kOpenHand:
    case Grip::kThreeFingerOpen:
    case Grip::kTwoFingerOpen:
      break;
  }
  return {20, 39, 40};
}

}  // namespace steepwright::body::tables
