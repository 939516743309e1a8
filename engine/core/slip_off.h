#pragma once

/// How near a limb is to coming off its hold under the load that it has: how far the pull may still swing before the
/// skin slips, or before the fingers open.

#include "engine/core/capacity_set.h"

#include <string_view>

namespace steepwright {

struct SlipOff {
  /// rad that the force can be turned, at its size, before it leaves the set; 0 for no force; negative outside: what
  /// it would have to be turned back, at most 90 degrees.
  double margin = 0.0;
  /// The fingers' (or the foothold's) strength ends it, else friction.
  bool is_by_strength = false;
};

/// "strength" or "friction".
[[nodiscard]] std::string_view name_of_end(const SlipOff& slip_off);

/// The nearer of two ways to come off: friction lets go in any direction (find_slip_margin); and as the pull swings
/// outward over the lip, the load becomes more than can be held in that direction (the bounds, at their full size).
/// `lip_W`: unit, along the lip (x of the site); a force along the floor's normal turns into the wall about it, the
/// pull, its opposite, out of it. Unlike friction alone this tells apart grips that hold differently much outward.
[[nodiscard]] SlipOff find_slip_off(const CapacitySet& set, const Vec3& f_C_W, const Vec3& lip_W);

/// The second way alone: rad that the pull can swing outward before the bounds are met; infinite where they are not,
/// negative (to -90 degrees) where they are exceeded.
[[nodiscard]] double find_strength_turn(const CapacitySet& set, const Vec3& f_C_W, const Vec3& lip_W);

}  // namespace steepwright
