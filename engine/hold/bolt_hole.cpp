#include "engine/hold/bolt_hole.h"

#include "engine/hold/section_cut.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <vector>

namespace steepwright::hold {

namespace {

/// M8 to M12 with clearance (common practice, no source).
constexpr double kLeastDiameter_m = 0.008;
constexpr double kGreatestDiameter_m = 0.014;
/// Out of round by this much at most, m: noise of a scan and 12 chords to the circle.
constexpr double kRound_m = 3e-4;
constexpr double kSamePlace_m = 5e-4;
constexpr std::size_t kFewestCorners = 7;
/// Sections between panel and front; a countersink may take the outer half.
constexpr std::array kLevels = {0.08, 0.17, 0.29, 0.41, 0.53};
/// Sections leave out what lies at their own z = 0: the plan is moved clear of it.
constexpr double kClear_m = 100.0;

std::vector<FoundHole> find_round_holes(const Section& section) {
  std::vector<FoundHole> holes;
  for (const CutLine& line : section.lines) {
    if (line.points.size() < kFewestCorners || (line.points.front() - line.points.back()).norm() > 1e-6) continue;
    const std::size_t n = line.points.size() - 1;
    // Middle by edges, not by corners: those may crowd on one side.
    Vec2 middle = Vec2::Zero();
    double length = 0.0;
    double twice_area = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
      const Vec2& a = line.points[i];
      const Vec2& b = line.points[i + 1];
      middle += 0.5 * (a + b) * (b - a).norm();
      length += (b - a).norm();
      twice_area += (a.x() - line.points[0].x()) * (b.y() - line.points[0].y()) -
                    (b.x() - line.points[0].x()) * (a.y() - line.points[0].y());
    }
    // The body is on the right: around a hole the walk is counter-clockwise.
    if (length <= 0.0 || twice_area <= 0.0) continue;
    middle /= length;
    double least = 1e9;
    double greatest = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
      least = std::min(least, (line.points[i] - middle).norm());
      greatest = std::max(greatest, (line.points[i] - middle).norm());
    }
    const double diameter = least + greatest;
    if (greatest - least < kRound_m && diameter > kLeastDiameter_m && diameter < kGreatestDiameter_m)
      holes.push_back({middle.x(), middle.y() - kClear_m, diameter});
  }
  return holes;
}

}  // namespace

std::optional<FoundHole> find_bolt_hole(const Mesh& mesh) {
  // The cutter's axis becomes the panel's normal: (x, y, z) -> (z, x, y).
  Mesh plan;
  plan.triangles = mesh.triangles;
  plan.vertices.reserve(mesh.vertices.size());
  for (const Vec3& p : mesh.vertices) plan.vertices.emplace_back(p.z(), p.x(), p.y() + kClear_m);
  const MeshCutter cutter(plan, 0.0);
  const double top = calc_bounds(mesh).upper.z();
  std::vector<FoundHole> seen;
  for (const double level : kLevels) {
    for (const FoundHole& hole : find_round_holes(cutter.cut(level * top))) {
      const bool is_known = std::any_of(seen.begin(), seen.end(), [&hole](const FoundHole& other) {
        return std::hypot(hole.x - other.x, hole.y - other.y) < kSamePlace_m;
      });
      if (is_known) return hole;
      seen.push_back(hole);
    }
  }
  return std::nullopt;
}

}  // namespace steepwright::hold
