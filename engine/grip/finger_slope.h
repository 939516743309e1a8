#pragma once

/// How the most load of a seated finger changes with its posture.

#include "engine/grip/finger_program.h"

#include <Eigen/Core>

namespace steepwright::grip {

/// Changes with the pitch of distal, middle and proximal bone against the floor, per rad, and with the withdrawal, per
/// m.
using BoneSlope = Eigen::Vector4d;

/// What a slope is taken of: a solved program and all that it was made from.
struct SlopeTask {
  const Finger* finger = nullptr;
  const hold::Outline* outline = nullptr;
  const FingerSeat* seat = nullptr;  ///< the last seating
  const FingerProgram* program = nullptr;
  FingerPosture posture;
  Vec2 direction = Vec2::UnitY();  ///< of the load
  double deep_N = 0.0;             ///< strength of the deep flexor
  double mcp = 0.0;                ///< rad
  double mcp_slope = 0.0;          ///< of the knuckle's flexion by the proximal bone's pitch
  double log_fit_slope = 0.0;      ///< of the logarithm of its fit, per rad of the same
};

/// Slope of the program's value, N. At an optimum it is that of the program's Lagrangian with forces and prices held
/// (envelope theorem); where another piece of skin begins to bear, or the basis changes, that of one side.
[[nodiscard]] BoneSlope find_slope(const SlopeTask& task);

}  // namespace steepwright::grip
