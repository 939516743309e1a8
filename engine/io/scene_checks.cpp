#include "engine/io/scene_checks.h"

#include "engine/hold/profile.h"
#include "engine/io/file_units.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace steepwright::io {

namespace {

using Vec2 = Eigen::Vector2d;

constexpr double kTouch_m = 0.001;     ///< holds may touch, and a mm of overlap is not worth a message
constexpr double kInside_m = 0.003;    ///< depth in wood, floor or room from which a hold does not fit
constexpr double kUnbacked_m = 0.005;  ///< distance of a footprint corner from any panel from which it sticks out

Vec2 centre_of(const move::PlacedHold& hold) { return {hold.across_m, hold.up_m}; }

bool is_round(const move::PlacedHold& hold) { return hold::is_round(hold.hold.shape); }

double find_width(const move::PlacedHold& hold) { return hold::find_body_width(hold.hold.shape); }

/// Axes of the footprint in P: along the lip, up the hold.
std::array<Vec2, 2> axes_of(const move::PlacedHold& hold) {
  const double c = std::cos(hold.rotation);
  const double s = std::sin(hold.rotation);
  return {Vec2(c, s), Vec2(-s, c)};
}

/// Half the extent of the footprint along a unit direction of P.
double find_half_extent(const move::PlacedHold& hold, const Vec2& direction) {
  const hold::Shape& shape = hold.hold.shape;
  if (is_round(hold)) return 0.25 * (shape.width_m + shape.height_m);
  const auto axes = axes_of(hold);
  return 0.5 * find_width(hold) * std::abs(axes[0].dot(direction)) +
         0.5 * shape.height_m * std::abs(axes[1].dot(direction));
}

std::array<Vec2, 4> corners_of(const move::PlacedHold& hold) {
  const auto axes = axes_of(hold);
  const Vec2 right = 0.5 * find_width(hold) * axes[0];
  const Vec2 up = 0.5 * hold.hold.shape.height_m * axes[1];
  const Vec2 centre = centre_of(hold);
  return {Vec2(centre - right - up), Vec2(centre + right - up), Vec2(centre + right + up), Vec2(centre - right + up)};
}

void check_bolt(const Entry& entry, const wall::Strip& strip, const move::PlacedHold& hold, Findings& findings) {
  const auto is_off = [&](const char* key, double value_m, double upper_m) {
    if (value_m <= upper_m) return false;
    findings.push_back(entry.error(key, fmt::format("is {} mm, off the panel: strip {} ends at {:.0f} mm",
                                                    to_mm_text(value_m), in_quotes(strip.name), mm_from_m(upper_m))));
    return true;
  };
  const bool is_off_across = is_off("across_mm", hold.across_m, strip.width_m);
  if (is_off("up_mm", hold.up_m, strip.length_m) || is_off_across) return;

  if (hold.on_lattice) {
    const auto points = wall::make_lattice_points(strip);
    if (points.empty()) {
      findings.push_back(entry.error("on_tnut", fmt::format("strip {} has no T-nuts", in_quotes(strip.name)),
                                     "give the strip a lattice or write on_tnut = false"));
      return;
    }
    const Vec2 bolt = centre_of(hold);
    const Vec2 nearest = *std::min_element(points.begin(), points.end(), [&](const Vec2& a, const Vec2& b) {
      return (a - bolt).squaredNorm() < (b - bolt).squaredNorm();
    });
    const double distance_m = (nearest - bolt).norm();
    if (distance_m > kTeeNutTolerance_m) {
      findings.push_back(
          entry.error("on_tnut",
                      fmt::format("the bolt is {:.0f} mm from the nearest T-nut, allowed {:.0f}", mm_from_m(distance_m),
                                  mm_from_m(kTeeNutTolerance_m)),
                      fmt::format("the nearest is at across_mm = {:.0f}, up_mm = {:.0f}; or write on_tnut = false",
                                  mm_from_m(nearest.x()), mm_from_m(nearest.y()))));
    }
  }
  if (wall::is_on_joist(strip, hold.across_m)) {
    if (hold.on_lattice) {
      findings.push_back(entry.error("across_mm", "the bolt meets a joist: no T-nut fits there",
                                     "move the hold to a T-nut beside the joist"));
    } else {
      findings.push_back(
          entry.warning("across_mm", "the bolt is over a joist", "fix the hold with screws, or move it aside"));
    }
  }
}

/// The hold's corners against everything else of the wall: neighbouring strips, floor, room, thin air.
void check_body(const Entry& entry, const wall::Wall& wall, const move::PlacedHold& hold, Findings& findings) {
  const wall::Strip& strip = wall.strips[static_cast<std::size_t>(hold.strip)];
  double deepest_m = -kInside_m;
  double farthest_m = kUnbacked_m;
  std::string obstacle;
  for (const Vec2& corner : corners_of(hold)) {
    const double protrusion_m = hold.hold.shape.protrusion_m;
    for (const double out_m : {0.0, protrusion_m}) {
      const wall::Nearest nearest = wall::find_nearest(wall, strip.X_WP * Vec3(corner.x(), corner.y(), out_m));
      if (nearest.distance_m < deepest_m) {
        deepest_m = nearest.distance_m;
        obstacle = wall::describe(wall, nearest);
      }
      if (out_m == 0.0) farthest_m = std::max(farthest_m, nearest.distance_m);
    }
  }
  if (!obstacle.empty()) {
    findings.push_back(entry.error(
        "up_mm",
        fmt::format("hold {} reaches {:.0f} mm into the {}", in_quotes(hold.name), mm_from_m(-deepest_m), obstacle),
        "move it away from the corner"));
  } else if (farthest_m > kUnbacked_m) {
    const double over_m =
        wall::find_overrun(strip, hold.across_m, hold.up_m, hold.rotation, find_width(hold), hold.hold.shape.height_m);
    findings.push_back(
        entry.warning("", fmt::format("hold {} sticks out {:.0f} mm past the edge of strip {}", in_quotes(hold.name),
                                      mm_from_m(std::max(over_m, farthest_m)), in_quotes(strip.name))));
  }
}

}  // namespace

double find_overlap(const move::PlacedHold& a, const move::PlacedHold& b) {
  // Separating axes of two convex footprints; a circle adds the direction to its centre (exact but for a circle
  // before a rectangle's corner, where the nearest corner's direction decides).
  std::vector<Vec2> directions;
  for (const move::PlacedHold* hold : {&a, &b}) {
    if (!is_round(*hold)) {
      for (const Vec2& axis : axes_of(*hold)) directions.push_back(axis);
    }
  }
  const Vec2 between = centre_of(b) - centre_of(a);
  if (is_round(a) || is_round(b)) {
    if (between.norm() > 1e-9) directions.push_back(between.normalized());
    const move::PlacedHold& round = is_round(a) ? a : b;
    const move::PlacedHold& other = is_round(a) ? b : a;
    if (!is_round(other)) {
      for (const Vec2& corner : corners_of(other)) {
        const Vec2 way = corner - centre_of(round);
        if (way.norm() > 1e-9) directions.push_back(way.normalized());
      }
    }
  }
  double overlap_m = std::numeric_limits<double>::infinity();
  for (const Vec2& direction : directions) {
    const double reach_m = find_half_extent(a, direction) + find_half_extent(b, direction);
    overlap_m = std::min(overlap_m, reach_m - std::abs(between.dot(direction)));
  }
  return std::isfinite(overlap_m) ? overlap_m : find_half_extent(a, Vec2::UnitX()) + find_half_extent(b, Vec2::UnitX());
}

void check_holds(const std::vector<Entry>& entries, const wall::Wall& wall, const std::vector<move::PlacedHold>& holds,
                 Findings& findings) {
  for (std::size_t i = 0; i < holds.size(); ++i) {
    const std::size_t count_before = findings.size();
    check_bolt(entries[i], wall.strips[static_cast<std::size_t>(holds[i].strip)], holds[i], findings);
    if (findings.size() == count_before || !has_errors(findings)) check_body(entries[i], wall, holds[i], findings);
    for (std::size_t j = 0; j < i; ++j) {
      if (holds[j].strip != holds[i].strip) continue;
      const double overlap_m = find_overlap(holds[i], holds[j]);
      if (overlap_m <= kTouch_m) continue;
      findings.push_back(
          entries[i].error("",
                           fmt::format("hold {} overlaps hold {} (line {}) by {:.0f} mm", in_quotes(holds[i].name),
                                       in_quotes(holds[j].name), entries[j].place_of("").line, mm_from_m(overlap_m)),
                           "move one of them"));
    }
  }
}

}  // namespace steepwright::io
