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
  outline.lip_radius = std::max(site.lip_radius_m, kSharpestLip_m);
  outline.mouth = site.mouth_m;
  outline.front_lean = 0.5 * kPi + site.incut;
  outline.front_normal = {-std::sin(outline.front_lean), std::cos(outline.front_lean)};
  outline.floor_start = outline.lip_radius * std::tan(0.5 * outline.front_lean);
  outline.front_end = outline.floor_start - outline.lip_radius * std::sin(std::min(outline.front_lean, kSteepestLean));
  outline.outermost = outline.front_end;
  if (outline.front_lean < kSteepestLean) outline.outermost -= kFrontDrop_m / std::tan(outline.front_lean);
  return outline;
}

OutlinePoint Outline::find_point_of_lip(double y) const {
  if (y >= front_end) {
    const double s = std::min((floor_start - y) / lip_radius, 1.0);
    const double c = std::sqrt(1.0 - s * s);
    return {lip_radius * (c - 1.0), {-s, c}};
  }
  // The front face: only met from above when the floor slopes out.
  const double end_z = lip_radius * (front_normal.y() - 1.0);
  return {end_z + (front_end - y) * front_normal.x() / front_normal.y(), front_normal};
}

}  // namespace steepwright::hold
