#pragma once

/// A reach map's border against bisection along lines across random segments of it.

#include "engine/core/random.h"
#include "tests/support/reach_bisection.h"

#include <cmath>
#include <vector>

namespace steepwright::tests {

/// A line on which the bisection gets further than the map.
struct Missed {
  Eigen::Vector2d border_m;  ///< across, up
  double by_m = 0.0;
};

struct BorderCount {
  int n_lines = 0;    ///< that start on ground where the bisection holds
  int n_near = 0;     ///< end within 5 mm of the map's border
  int n_proven = 0;   ///< end short of it, and the map's own posture there stands when it is checked
  int n_further = 0;  ///< end beyond it: the map has missed a posture
  std::vector<Missed> missed;
  [[nodiscard]] int n_wrong() const { return n_lines - n_near - n_proven - n_further; }
};

/// Does a held place within 4 mm have a posture that is held by exact statics?
[[nodiscard]] inline bool has_proof(const study::ReachMap& map, const Eigen::Vector2d& point, Bisection& bisection) {
  for (std::size_t k = 0; k < map.places.size(); ++k) {
    const Eigen::Vector2d place(map.places[k].across_m, map.places[k].up_m);
    if (!map.places[k].is_held || (place - point).norm() > 0.004) continue;
    const study::ReachProof& proof = map.proofs[k];
    if (study::is_enough(bisection.find_effort(place, {proof.forearm_bins}, proof.posture))) return true;
  }
  return false;
}

/// `map` must have its proofs, and one strip.
[[nodiscard]] inline BorderCount count_border(const study::ReachMap& map, Bisection& bisection, int n_lines) {
  constexpr double kBack_m = 0.10, kNear_m = 0.005;
  BorderCount count;
  RandomStream random(5);
  for (int k = 0; k < n_lines; ++k) {
    const auto pick = static_cast<std::size_t>(random.uniform() * static_cast<double>(map.border.size()));
    const study::BorderSegment& segment = map.border[pick];
    const Eigen::Vector2d a(segment.across_m[0], segment.up_m[0]);
    const Eigen::Vector2d b(segment.across_m[1], segment.up_m[1]);
    const Eigen::Vector2d along = (b - a).normalized();
    const Eigen::Vector2d outward(along.y(), -along.x());  // held on the left
    const auto lost_m = bisection.find_lost(0.5 * (a + b) - kBack_m * outward, outward, 2.0 * kBack_m);
    if (!lost_m) continue;
    ++count.n_lines;
    if (std::abs(*lost_m - kBack_m) <= kNear_m) {
      ++count.n_near;
    } else if (*lost_m > kBack_m) {
      ++count.n_further;
      count.missed.push_back({0.5 * (a + b), *lost_m - kBack_m});
    } else if (has_proof(map, 0.5 * (a + b), bisection)) {
      ++count.n_proven;
    }
  }
  return count;
}

}  // namespace steepwright::tests
