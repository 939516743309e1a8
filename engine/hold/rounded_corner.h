#pragma once

/// Least squares of a rounded corner: two straight lines and the arc that is tangent to both.

#include "engine/hold/section_cut.h"

#include <vector>

namespace steepwright::hold {

/// Lines n . p = offset with n = (sin facing, cos facing), the body on the side of smaller n . p.
struct RoundedCorner {
  double front_facing = 0.0, front_offset = 0.0;
  double floor_facing = 0.0, floor_offset = 0.0;
  double radius = 0.0;    ///< m
  double residual = 0.0;  ///< m, root mean square of the points' distances
  bool has_floor = true;  ///< false: the floor line is only the arc's tangent at the last point

  [[nodiscard]] Vec2 find_corner() const;
  [[nodiscard]] Vec2 find_centre() const;
  /// From the corner to where the arc begins, m: on either line the same.
  [[nodiscard]] double find_tangent_length() const;
};

/// The corner that is nearest to the points, with less weight on those far off. The facings are where to start from;
/// the floor's must be the larger by some degrees.
[[nodiscard]] RoundedCorner solve_rounded_corner(const std::vector<Vec2>& points, double front_facing,
                                                 double floor_facing);

/// The same where the arc runs on to the last point and no straight floor is left.
[[nodiscard]] RoundedCorner solve_front_and_arc(const std::vector<Vec2>& points, const RoundedCorner& start);

}  // namespace steepwright::hold
