#pragma once

/// Steps of make_body: the hinges of each joint with their ranges and strengths, coupled limits, contact stations and
/// capsules. Private to the part.

#include "engine/body/anthropometry.h"
#include "engine/body/body.h"

namespace steepwright::body {

enum class Side { kLeft, kRight };
/// -1 left, +1 right: the side's x.
[[nodiscard]] constexpr double sign_of(Side side) { return side == Side::kLeft ? -1.0 : 1.0; }
[[nodiscard]] constexpr std::size_t index_of(Side side) { return side == Side::kLeft ? 0 : 1; }
[[nodiscard]] inline std::string name_of(Side side, const char* part) {
  return std::string(side == Side::kLeft ? "left " : "right ") + part;
}

/// Each adds the hinges of one joint to the last segment of body.tree.
void add_lumbar_hinges(Body& body);
void add_thoracic_hinges(Body& body);
void add_neck_hinges(Body& body);
void add_girdle_hinges(Body& body, Side side, const Lengths& lengths);
void add_shoulder_hinges(Body& body, Side side);
void add_elbow_and_forearm_hinges(Body& body, Side side);
void add_wrist_hinges(Body& body, Side side);
void add_hip_hinges(Body& body, Side side);
void add_knee_hinge(Body& body, Side side);
void add_ankle_hinges(Body& body, Side side);

/// Fill the rest of a body whose tree is complete.
void add_coupled_limits(Body& body);
void set_stations(Body& body, const Lengths& lengths);
void add_capsules(Body& body, const Lengths& lengths);

/// Heel behind the ankle joint, of foot length (assumed, about a quarter).
inline constexpr double kHeelBehindAnkle_of_foot = 0.25;

}  // namespace steepwright::body
