#include "engine/core/slip_off.h"

#include "engine/core/units.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright {

namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();

/// Turn at which level cos + outward sin passes `limit` from below; negative where it is above now; infinite where it
/// does not pass within half a round.
double find_turn(double level, double outward, double limit) {
  const double most_squared = level * level + outward * outward;
  if (limit > 0.0 && limit * limit >= most_squared) return kNever;
  if (level <= limit && outward <= 0.0) return kNever;
  return std::atan2(outward, level) - std::acos(std::clamp(limit / std::sqrt(most_squared), -1.0, 1.0));
}

}  // namespace

double find_strength_turn(const CapacitySet& set, const Vec3& f_C_W, const Vec3& lip_W) {
  const double along_N = lip_W.dot(f_C_W);
  const Vec3 level_W = f_C_W - along_N * lip_W;
  const Vec3 outward_W = level_W.cross(lip_W);
  double least = kNever;
  for (const HalfSpace& bound : set.bounds) {
    const double limit = bound.b_N - along_N * bound.a.dot(lip_W);
    least = std::min(least, find_turn(bound.a.dot(level_W), bound.a.dot(outward_W), limit));
  }
  return std::max(least, -0.5 * kPi);
}

std::string_view name_of_end(const SlipOff& slip_off) { return slip_off.is_by_strength ? "strength" : "friction"; }

SlipOff find_slip_off(const CapacitySet& set, const Vec3& f_C_W, const Vec3& lip_W) {
  const double friction = find_slip_margin(set, f_C_W);
  const double strength = find_strength_turn(set, f_C_W, lip_W);
  return {std::min(friction, strength), strength < friction};
}

}  // namespace steepwright
