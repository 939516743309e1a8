#pragma once

/// The engine's tree and postures as plain numbers for the Simbody model.

#include "engine/body/tree.h"
#include "tests/peers/simbody/simbody_model.h"

namespace steepwright::peers {

[[nodiscard]] inline std::array<double, 3> to_plain(const Vec3& v) { return {v.x(), v.y(), v.z()}; }
[[nodiscard]] inline Vec3 from_plain(const std::array<double, 3>& v) { return {v[0], v[1], v[2]}; }

[[nodiscard]] inline std::vector<PlainSegment> make_plain_segments(const body::Tree& tree) {
  std::vector<PlainSegment> segments;
  for (const body::Segment& segment : tree.segments) {
    PlainSegment plain;
    plain.parent = segment.parent;
    plain.p_PB = to_plain(segment.p_PB);
    plain.mass_kg = segment.mass_kg;
    plain.p_Bcm = to_plain(segment.p_Bcm);
    for (int h = segment.first_hinge; h < segment.first_hinge + segment.n_hinges; ++h) {
      const body::Hinge& hinge = tree.hinges[static_cast<std::size_t>(h)];
      plain.hinges.push_back({static_cast<int>(hinge.axis), hinge.sign});
    }
    segments.push_back(plain);
  }
  return segments;
}

/// Stores the posture in the model; returns its index.
inline int add_posture(SimbodyModel& model, const body::Posture& posture) {
  const Mat3& R = posture.R_WB;
  return model.add_posture(to_plain(posture.p_WB),
                           {R(0, 0), R(0, 1), R(0, 2), R(1, 0), R(1, 1), R(1, 2), R(2, 0), R(2, 1), R(2, 2)},
                           {posture.angles.data(), posture.angles.data() + posture.angles.size()});
}

}  // namespace steepwright::peers
