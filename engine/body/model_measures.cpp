#include "engine/body/anthropometry.h"
#include "engine/body/body.h"
#include "engine/core/units.h"

#include <algorithm>
#include <cmath>

namespace steepwright::body {

namespace {

double& angle_of(const Body& body, Posture& posture, const std::string& hinge) {
  return posture.angles[body.tree.find_hinge(hinge)];
}

Posture make_standing_posture(const Body& body) {
  Posture posture;
  posture.angles = DofVector::Zero(body.tree.n_hinges());
  return posture;
}

// Tip of the straight middle finger in W.
Vec3 find_fingertip(const Body& body, const Posture& posture, const std::string& side) {
  Kinematics kinematics;
  update_kinematics(body.tree, posture, kinematics);
  const double wrist_to_tip = find_lengths(body.measures).wrist_to_tip;
  return find_position(kinematics, body.tree.find_segment(side + " hand"), Vec3(0.0, 0.0, -wrist_to_tip));
}

}  // namespace

double find_span(const Body& body) {
  Posture posture = make_standing_posture(body);
  angle_of(body, posture, "left shoulder abduction") = kPi / 2.0;
  angle_of(body, posture, "right shoulder abduction") = kPi / 2.0;
  return find_fingertip(body, posture, "right").x() - find_fingertip(body, posture, "left").x();
}

double find_standing_overhead_reach(const Body& body) {
  const auto upper = [&](const std::string& hinge) {
    return body.tree.hinges[static_cast<std::size_t>(body.tree.find_hinge(hinge))].upper;
  };
  Posture posture = make_standing_posture(body);
  angle_of(body, posture, "right girdle elevation") = upper("right girdle elevation");
  angle_of(body, posture, "right shoulder flexion") = std::min(kPi, upper("right shoulder flexion"));

  // Height of the fingertip over abduction a is z0 + A sin a + B cos a: abduction upright again what the raised girdle
  // tilted inward.
  double& abduction = angle_of(body, posture, "right shoulder abduction");
  const auto height_at = [&](double angle) {
    abduction = angle;
    return find_fingertip(body, posture, "right").z();
  };
  const double at_zero = height_at(0.0);
  const double at_right_angle = height_at(kPi / 2.0);
  const double at_half_turn = height_at(kPi);
  const double middle = 0.5 * (at_zero + at_half_turn);
  abduction = std::atan2(at_right_angle - middle, at_zero - middle);
  const double fingertip = find_fingertip(body, posture, "right").z();

  // The sole lies below the reference posture's hips by the hip's height over the floor.
  return fingertip + find_lengths(body.measures).hip_height;
}

}  // namespace steepwright::body
