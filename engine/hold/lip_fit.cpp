#include "engine/hold/lip_fit.h"

#include "engine/core/units.h"
#include "engine/hold/rounded_corner.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>

namespace steepwright::hold {

namespace {

/// Outlines are simplified to this before corners are looked for: above the noise of a scan, below what a finger feels.
constexpr double kSimplify_m = 1.5e-4;
/// A turn towards the body's outside smaller than this is no corner (own choice: flat slopers meet their back face at
/// 20 deg), nor is one whose next side leaves the straight line by less than kCornerRise_m.
constexpr double kConcaveTurn = rad_from_deg(12.0);
constexpr double kCornerRise_m = 4e-4;
/// Floors look along +q at least so much (incut -80 deg) and at most so much (incut 75 deg).
constexpr double kFlattestFloor = rad_from_deg(10.0);
constexpr double kSteepestFloor = rad_from_deg(165.0);
/// A front face may hang back from its lip by this much.
constexpr double kLeastFront = rad_from_deg(-35.0);
/// Front face that is looked at beyond the rounding, m.
constexpr double kFrontReach_m = 0.04;
/// Spacing of the points that are fitted at most, m.
constexpr double kPointSpacing_m = 1e-3;
constexpr std::size_t kMostPoints = 160;
/// Shorter floors bear neither finger nor shoe (assumed).
constexpr double kLeastFloor_m = 0.002;
/// Less straight floor than this says nothing of its tilt: three points of noise 0.05 mm leave 5 deg.
constexpr double kLeastStraight_m = 4e-4;
/// A straight end of an arc up to this share of its radius may be its last chord.
constexpr double kChordShare = 0.22;
constexpr double kSameResidual = 1.2;
/// An end this near to the panel is drawn on to it.
constexpr double kReachesPanel_m = 6e-4;
constexpr double kLargestResidual_m = 2.5e-3;

/// Indices of the points that keep the outline within kSimplify_m (Douglas & Peucker 1973).
void simplify(const std::vector<Vec2>& points, std::size_t first, std::size_t last, std::vector<std::size_t>& kept) {
  const Vec2 d = points[last] - points[first];
  const double length = d.norm();
  double farthest = kSimplify_m;
  std::size_t split = first;
  for (std::size_t i = first + 1; i < last; ++i) {
    const Vec2 e = points[i] - points[first];
    const double distance = length > 1e-9 ? std::abs(d.x() * e.y() - d.y() * e.x()) / length : e.norm();
    if (distance > farthest) {
      farthest = distance;
      split = i;
    }
  }
  if (split == first) {
    kept.push_back(last);
    return;
  }
  simplify(points, first, split, kept);
  simplify(points, split, last, kept);
}

struct Side {
  std::size_t first = 0, last = 0;  ///< points of the line
  double facing = 0.0, length = 0.0;
};

std::vector<Side> find_sides(const std::vector<Vec2>& points) {
  std::vector<std::size_t> kept = {0};
  simplify(points, 0, points.size() - 1, kept);
  std::vector<Side> sides;
  for (std::size_t i = 0; i + 1 < kept.size(); ++i) {
    const Vec2& from = points[kept[i]];
    const Vec2& to = points[kept[i + 1]];
    if ((to - from).norm() > 1e-9) sides.push_back({kept[i], kept[i + 1], find_facing(from, to), (to - from).norm()});
  }
  return sides;
}

bool is_concave(const Side& before, const Side& after) {
  const double turn = wrap_angle(after.facing - before.facing);
  return turn < -kConcaveTurn && after.length * std::sin(std::min(-turn, 0.5 * kPi)) > kCornerRise_m &&
         before.length > kCornerRise_m;
}

bool looks_up(const Side& side) { return side.facing > kFlattestFloor && side.facing < kSteepestFloor; }

bool ends_floor(const std::vector<Side>& sides, std::size_t i) {
  if (!looks_up(sides[i])) return false;
  if (i + 1 == sides.size()) return true;
  if (is_concave(sides[i], sides[i + 1])) return true;
  return !looks_up(sides[i + 1]) && wrap_angle(sides[i + 1].facing - sides[i].facing) > 0.0;
}

/// First side of the front that belongs to the floor ending at side `end`.
std::size_t find_front(const std::vector<Side>& sides, std::size_t end) {
  std::size_t i = end;
  while (i > 0) {
    const Side& before = sides[i - 1];
    if (is_concave(before, sides[i]) || before.facing < kLeastFront || before.facing > kSteepestFloor) break;
    --i;
  }
  // The front is the longest side before the floor; what lies before it is beyond the next edge of the body.
  std::size_t front = end;
  for (std::size_t k = i; k < end; ++k) {
    const bool is_turned = sides[end].facing - sides[k].facing > kConcaveTurn;
    if (is_turned && (front == end || sides[k].length > sides[front].length)) front = k;
  }
  return front;
}

/// Points along the outline between two of its own, no farther apart than the spacing.
std::vector<Vec2> sample(const std::vector<Vec2>& points, std::size_t first, std::size_t last) {
  double length = 0.0;
  for (std::size_t i = first; i < last; ++i) length += (points[i + 1] - points[i]).norm();
  const double spacing = std::max(kPointSpacing_m, length / static_cast<double>(kMostPoints));
  std::vector<Vec2> samples;
  for (std::size_t i = first; i < last; ++i) {
    const Vec2 d = points[i + 1] - points[i];
    const int n = std::max(1, static_cast<int>(std::ceil(d.norm() / spacing)));
    for (int k = 0; k < n; ++k) samples.push_back(points[i] + d * (static_cast<double>(k) / n));
  }
  samples.push_back(points[last]);
  return samples;
}

/// The outline from the front on, its front cut to what lies near the lip.
std::vector<Vec2> take_outline(const std::vector<Vec2>& points, const Side& front, const Side& end) {
  std::vector<Vec2> outline(points.begin() + static_cast<std::ptrdiff_t>(front.first),
                            points.begin() + static_cast<std::ptrdiff_t>(end.last) + 1);
  const std::size_t front_points = front.last - front.first;
  const double reach = std::max(kFrontReach_m, (points[end.last] - points[front.last]).norm());
  if (front.length <= reach) return outline;
  // Walk back from the front's inner end.
  double walked = 0.0;
  for (std::size_t i = front_points; i > 0; --i) {
    const Vec2 d = outline[i - 1] - outline[i];
    if (walked + d.norm() >= reach) {
      outline[i - 1] = outline[i] + d * ((reach - walked) / d.norm());
      outline.erase(outline.begin(), outline.begin() + static_cast<std::ptrdiff_t>(i - 1));
      break;
    }
    walked += d.norm();
  }
  return outline;
}

std::optional<double> find_hit(const Vec2& from, const Vec2& direction, const Vec2& a, const Vec2& b) {
  const Vec2 d = b - a;
  const double det = direction.x() * -d.y() + direction.y() * d.x();
  if (std::abs(det) < 1e-15) return std::nullopt;
  const Vec2 e = a - from;
  const double along = (e.x() * -d.y() + e.y() * d.x()) / det;
  const double share = (direction.x() * e.y() - direction.y() * e.x()) / det;
  if (share < 0.0 || share > 1.0 || along <= 0.0) return std::nullopt;
  return along;
}

/// Distance to a roof over a point of the floor; nothing where it is open.
std::optional<double> find_roof(const Section& section, const Vec2& from, const Vec2& normal) {
  constexpr double kClear_m = 5e-4;  ///< the floor itself is no roof
  std::optional<double> nearest;
  double facing_dot = 0.0;
  double facing = 0.0;
  for (const CutLine& line : section.lines) {
    for (std::size_t i = 0; i + 1 < line.points.size(); ++i) {
      const auto along = find_hit(from, normal, line.points[i], line.points[i + 1]);
      if (!along || *along < kClear_m || (nearest && *along >= *nearest)) continue;
      nearest = along;
      facing = find_facing(line.points[i], line.points[i + 1]);
      facing_dot = std::sin(facing) * normal.x() + std::cos(facing) * normal.y();
    }
  }
  // A floor that bites far looks at the back face: that is no roof.
  constexpr double kBackFace = rad_from_deg(30.0);
  if (!nearest || *nearest > kHighestMouth_m || facing_dot > -0.5 || std::abs(facing) < kBackFace) return std::nullopt;
  return nearest;
}

/// Clear height along a direction; 0 where fewer than three of four places of the floor have a roof.
double find_clear_height(const Section& section, const LipFit& fit, const Vec2& direction) {
  std::vector<double> heights;
  for (const double share : {0.35, 0.5, 0.65, 0.8}) {
    const Vec2 from = fit.lip + share * fit.depth_m * fit.floor_direction();
    if (const auto height = find_roof(section, from, direction)) heights.push_back(*height);
  }
  if (heights.size() < 3) return 0.0;
  std::sort(heights.begin(), heights.end());
  return heights[heights.size() / 2];
}

double find_mouth(const Section& section, const LipFit& fit) {
  const double height_m = find_clear_height(section, fit, fit.floor_normal());
  if (height_m > 0.0) return height_m;
  // The normal of a shallow floor that bites far meets the wall before the roof.
  return find_clear_height(section, fit, Vec2::UnitX()) * std::cos(fit.incut());
}

/// The fit's numbers from the rounded corner; the floor ends where the outline does, or at the panel.
LipFit describe(const RoundedCorner& corner, const Vec2& end) {
  LipFit fit;
  fit.front_facing = corner.front_facing;
  fit.floor_facing = corner.floor_facing;
  fit.radius_m = corner.radius;
  fit.lip = corner.find_corner();
  fit.arc_centre = corner.find_centre();
  fit.residual_m = corner.residual;
  fit.has_straight_floor = corner.has_floor;
  const Vec2 along = fit.floor_direction();
  fit.depth_m = (end - fit.lip).dot(along);
  if (end.y() < kReachesPanel_m && along.y() < -0.2) fit.depth_m = fit.lip.y() / -along.y();
  fit.floor_end = fit.lip + fit.depth_m * along;
  return fit;
}

std::optional<LipFit> fit_lip(const CutLine& line, const Side& front, const Side& end) {
  const std::vector<Vec2> outline = take_outline(line.points, front, end);
  const std::vector<Vec2> points = sample(outline, 0, outline.size() - 1);
  const RoundedCorner corner = solve_rounded_corner(points, front.facing, end.facing);
  LipFit fit = describe(corner, points.back());
  const double straight_m = fit.depth_m - corner.find_tangent_length();
  if (straight_m < std::max(kLeastStraight_m, kChordShare * corner.radius)) {
    // The last chord of an arc looks like a short floor.
    const RoundedCorner round = solve_front_and_arc(points, corner);
    if (straight_m < kLeastStraight_m || round.residual < kSameResidual * corner.residual) {
      fit = describe(round, points.back());
    }
  }
  const bool is_sound = std::isfinite(fit.depth_m) && fit.depth_m >= kLeastFloor_m && fit.depth_m < 1.0 &&
                        fit.residual_m < kLargestResidual_m && fit.floor_facing > kFlattestFloor &&
                        fit.floor_facing < kSteepestFloor && fit.lip.y() > 0.0;
  if (!is_sound) return std::nullopt;
  fit.is_bridged = line.is_bridged;
  fit.outline = outline;
  return fit;
}

}  // namespace

double LipFit::incut() const { return floor_facing - 0.5 * kPi; }
Vec2 LipFit::floor_direction() const { return {std::cos(floor_facing), -std::sin(floor_facing)}; }
Vec2 LipFit::floor_normal() const { return {std::sin(floor_facing), std::cos(floor_facing)}; }

std::vector<LipFit> fit_lips(const Section& section) {
  std::vector<LipFit> fits;
  for (const CutLine& line : section.lines) {
    const std::vector<Side> sides = find_sides(line.points);
    for (std::size_t end = 0; end < sides.size(); ++end) {
      if (!ends_floor(sides, end)) continue;
      const std::size_t front = find_front(sides, end);
      if (front == end) continue;
      auto fit = fit_lip(line, sides[front], sides[end]);
      if (!fit) continue;
      fit->mouth_m = find_mouth(section, *fit);
      fits.push_back(std::move(*fit));
    }
  }
  return fits;
}

}  // namespace steepwright::hold
