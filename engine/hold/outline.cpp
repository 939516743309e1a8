#include "engine/hold/outline.h"

#include "engine/core/units.h"

#include <algorithm>
#include <cmath>

namespace steepwright::hold {

namespace {

/// A front face steeper than this against the floor is not touched from above.
constexpr double kSteepestLean = 0.5 * kPi;
/// How far below the floor a sloping front face still counts, m.
constexpr double kFrontDrop_m = 0.060;

}  // namespace

Outline make_outline(const Site& site) {
  Outline outline;
  outline.depth = site.depth_m;
  outline.incut = site.incut;
  outline.lip_radius = site.lip_radius_m;
  outline.mouth = site.mouth_m;
  outline.front_lean = 0.5 * kPi + site.incut;
  outline.floor_start = site.lip_radius_m * std::tan(0.5 * outline.front_lean);
  outline.front_end = outline.floor_start - site.lip_radius_m * std::sin(std::min(outline.front_lean, kSteepestLean));
  outline.outermost = outline.front_end;
  if (outline.front_lean < kSteepestLean) outline.outermost -= kFrontDrop_m / std::tan(outline.front_lean);
  return outline;
}

OutlinePoint Outline::find_point(double y) const {
  if (y >= floor_start) return {0.0, 0.0};
  if (y >= front_end && lip_radius > 0.0) {
    const double s = std::min((floor_start - y) / lip_radius, 1.0);
    const double c = std::sqrt(1.0 - s * s);
    return {lip_radius * (c - 1.0), std::asin(s)};
  }
  // The front face: only met from above when the floor slopes out.
  const double end_z = lip_radius * (std::cos(std::min(front_lean, kSteepestLean)) - 1.0);
  return {end_z - (front_end - y) * std::tan(std::min(front_lean, kSteepestLean - 1e-6)), front_lean};
}

}  // namespace steepwright::hold
