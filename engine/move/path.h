#pragma once

/// The way of a limb through the air, from one hold to the next: off the wall, over what is in between, onto the wall.

#include "engine/move/scene.h"

#include <array>

namespace steepwright::move {

/// Where the way begins and ends, with the direction out of the wall there (unit).
struct PathEnds {
  Vec3 p_Wfrom = Vec3::Zero(), normal_Wfrom = Vec3::Zero();
  Vec3 p_Wto = Vec3::Zero(), normal_Wto = Vec3::Zero();
  double body_scale = 1.0;           ///< body::Body::scale: arc and distances grow with hand and arm
  int hold_from = -1, hold_to = -1;  ///< indices into Scene::holds, which the way may brush; -1: none
};

class LimbPath {
 public:
  static constexpr int kKnots = 25;

  /// Point of the way, u from 0 to 1.
  [[nodiscard]] Vec3 at(double u) const;
  /// Smallest distance kept from wall, floor, room and holds, less what is asked there; negative: it collides, m.
  [[nodiscard]] double spare_m() const { return spare_m_; }

 private:
  friend LimbPath make_limb_path(const Scene& scene, const PathEnds& ends);
  std::array<Vec3, kKnots> knots_;
  double spare_m_ = 0.0;
};

/// An arc off the wall, higher where a lower one would collide, pushed off what even the highest meets.
[[nodiscard]] LimbPath make_limb_path(const Scene& scene, const PathEnds& ends);

}  // namespace steepwright::move
