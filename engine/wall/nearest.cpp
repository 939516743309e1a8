/// Signed distance to the wall, the floor and the room.
///
/// A section's solid is an outline (y-z plane) swept over an interval of x. With d2 the signed distance to the outline
/// and dx the signed distance to the interval (positive outside), the distance to one swept solid from outside is
/// |max((d2, dx), 0)|. Sections stand side by side, so a point inside section j leaves the union either through the
/// face of some section k (itself included), at the distance |(max(dx_k, 0), max(-d2_k, 0))|, or through an end of the
/// whole wall; the smallest of these is the exact depth.

#include "engine/wall/wall.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::wall {

namespace {

/// Below this distance the direction to the foot point is rounding noise: the face's own normal is the gradient.
constexpr double kOnFace_m = 1e-9;

struct NearestOnProfile {
  double distance_m = 0.0;  ///< negative behind the outline
  double gradient_y = 0.0, gradient_z = 0.0;
  int strip = -1;
};

NearestOnProfile find_nearest_on_profile(const Section& section, double y, double z) {
  double best = std::numeric_limits<double>::infinity();
  double best_y = 0.0;
  double best_z = 0.0;
  const ProfileEdge* nearest = nullptr;
  bool is_inside = false;
  for (const ProfileEdge& edge : section.profile) {
    const double ry = y - edge.y0_m;
    const double rz = z - edge.z0_m;
    const double t = std::clamp(ry * edge.dy + rz * edge.dz, 0.0, edge.length_m);
    const double qy = ry - t * edge.dy;
    const double qz = rz - t * edge.dz;
    const double squared = qy * qy + qz * qz;
    if (squared < best) {
      best = squared;
      best_y = qy;
      best_z = qz;
      nearest = &edge;
    }
    // Even-odd rule with a ray towards the climber (-y).
    const bool spans = (edge.z0_m <= z) != (edge.z1_m <= z);
    const bool is_behind = (ry * edge.dz > rz * edge.dy) == (edge.dz > 0.0);
    is_inside ^= spans && is_behind;
  }
  NearestOnProfile result;
  if (nearest == nullptr) {  // a section without strips
    result.distance_m = best;
    return result;
  }
  const double distance_m = std::sqrt(best);
  const double sign = is_inside ? -1.0 : 1.0;
  result.distance_m = sign * distance_m;
  result.strip = nearest->strip;
  if (distance_m > kOnFace_m) {
    result.gradient_y = sign * best_y / distance_m;
    result.gradient_z = sign * best_z / distance_m;
  } else {
    result.gradient_y = -nearest->dz;
    result.gradient_z = nearest->dy;
  }
  return result;
}

/// Signed distance in x to the section's interval, and the direction away from it (outside) or to its end (inside).
struct NearestInX {
  double distance_m = 0.0;
  double gradient = 0.0;
};

NearestInX find_nearest_in_x(double x0_m, double x1_m, double x) {
  const double left_m = x0_m - x;
  const double right_m = x - x1_m;
  return left_m > right_m ? NearestInX{left_m, -1.0} : NearestInX{right_m, 1.0};
}

/// Smallest distance to any section from outside the wall. `own` is a section whose interval holds the point (nullptr:
/// none), with the distance to its outline.
Nearest find_nearest_outside(const Wall& wall, const Section* own, const NearestOnProfile& own_in_yz,
                             const Vec3& p_WQ) {
  Nearest best;
  best.distance_m = std::numeric_limits<double>::infinity();
  if (own != nullptr) {
    best.distance_m = own_in_yz.distance_m;
    best.strip = own_in_yz.strip;
    best.gradient = Vec3(0.0, own_in_yz.gradient_y, own_in_yz.gradient_z);
  }
  for (const Section& section : wall.sections) {
    if (&section == own) continue;
    const NearestInX in_x = find_nearest_in_x(section.x0_m, section.x0_m + section.width_m, p_WQ.x());
    if (in_x.distance_m >= best.distance_m) continue;
    const NearestOnProfile in_yz = find_nearest_on_profile(section, p_WQ.y(), p_WQ.z());
    const double dx = std::max(in_x.distance_m, 0.0);
    const double d2 = std::max(in_yz.distance_m, 0.0);
    const double distance_m = std::sqrt(dx * dx + d2 * d2);
    if (distance_m >= best.distance_m) continue;
    best.distance_m = distance_m;
    best.strip = in_yz.strip;
    // Beside the solid the side face is nearest, else the outline (or its edge with the side face).
    const bool is_side = d2 == 0.0;
    best.kind = is_side ? Nearest::Kind::kSide : Nearest::Kind::kStrip;
    best.gradient = is_side ? Vec3(in_x.gradient, 0.0, 0.0)
                            : Vec3(dx * in_x.gradient, d2 * in_yz.gradient_y, d2 * in_yz.gradient_z) / distance_m;
  }
  return best;
}

/// Shortest way out for a point inside section `own`.
Nearest find_nearest_inside(const Wall& wall, const Section& own, const NearestOnProfile& own_in_yz, const Vec3& p_WQ) {
  // Through the section's own outline.
  double depth_m = -own_in_yz.distance_m;
  Nearest best;
  best.strip = own_in_yz.strip;
  best.gradient = Vec3(0.0, own_in_yz.gradient_y, own_in_yz.gradient_z);
  // Through an end of the whole wall.
  const Section& last = wall.sections.back();
  const NearestInX end = find_nearest_in_x(wall.sections.front().x0_m, last.x0_m + last.width_m, p_WQ.x());
  if (-end.distance_m < depth_m) {
    depth_m = -end.distance_m;
    best.kind = Nearest::Kind::kSide;
    best.strip = own_in_yz.strip;
    best.gradient = Vec3(end.gradient, 0.0, 0.0);
  }
  // Through another section: over its free air at once, or out of its outline.
  for (const Section& other : wall.sections) {
    if (&other == &own || other.profile.empty()) continue;
    const NearestInX in_x = find_nearest_in_x(other.x0_m, other.x0_m + other.width_m, p_WQ.x());
    const double dx = std::max(in_x.distance_m, 0.0);
    if (dx >= depth_m) continue;
    const NearestOnProfile in_yz = find_nearest_on_profile(other, p_WQ.y(), p_WQ.z());
    const double d2 = std::max(-in_yz.distance_m, 0.0);
    const double distance_m = std::hypot(dx, d2);
    if (distance_m >= depth_m) continue;
    depth_m = distance_m;
    const bool is_side = d2 == 0.0;
    best.kind = is_side ? Nearest::Kind::kSide : Nearest::Kind::kStrip;
    best.strip = is_side ? own_in_yz.strip : in_yz.strip;
    best.gradient = is_side ? Vec3(-in_x.gradient, 0.0, 0.0)
                            : Vec3(-dx * in_x.gradient, d2 * in_yz.gradient_y, d2 * in_yz.gradient_z) /
                                  std::max(distance_m, 1e-300);
  }
  best.distance_m = -depth_m;
  return best;
}

Nearest find_nearest_on_wall(const Wall& wall, const Vec3& p_WQ) {
  const Section* own = nullptr;
  NearestOnProfile own_in_yz;
  for (const Section& section : wall.sections) {
    if (p_WQ.x() < section.x0_m || p_WQ.x() > section.x0_m + section.width_m || section.profile.empty()) continue;
    own = &section;
    own_in_yz = find_nearest_on_profile(section, p_WQ.y(), p_WQ.z());
    if (own_in_yz.distance_m < 0.0) return find_nearest_inside(wall, section, own_in_yz, p_WQ);
  }
  return find_nearest_outside(wall, own, own_in_yz, p_WQ);
}

}  // namespace

Nearest find_nearest(const Wall& wall, const Vec3& p_WQ) {
  Nearest best = find_nearest_on_wall(wall, p_WQ);
  const auto offer = [&best](double distance_m, const Vec3& gradient, Nearest::Kind kind) {
    if (distance_m >= best.distance_m) return;
    best.distance_m = distance_m;
    best.gradient = gradient;
    best.kind = kind;
    best.strip = -1;
  };
  offer(p_WQ.z(), Vec3::UnitZ(), Nearest::Kind::kFloor);
  if (wall.room) {
    // The floor of the room is z = 0, offered above.
    const Room& room = *wall.room;
    offer(p_WQ.x() - room.lower.x(), Vec3::UnitX(), Nearest::Kind::kRoom);
    offer(room.upper.x() - p_WQ.x(), -Vec3::UnitX(), Nearest::Kind::kRoom);
    offer(p_WQ.y() - room.lower.y(), Vec3::UnitY(), Nearest::Kind::kRoom);
    offer(room.upper.y() - p_WQ.y(), -Vec3::UnitY(), Nearest::Kind::kRoom);
    offer(room.upper.z() - p_WQ.z(), -Vec3::UnitZ(), Nearest::Kind::kRoom);
  }
  return best;
}

}  // namespace steepwright::wall
