#include "engine/move/path.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::move {

namespace {

// Assumed: a limb clears the wall by a hand's breadth (m times Body::scale), and by more on a long way.
constexpr double kArc = 0.08;
constexpr double kArcOnLength = 0.08;
constexpr double kArcGrowth = 1.4;
constexpr int kMaxArcs = 6;
constexpr int kMaxPushes = 40;
/// Distance of the contact point from any surface in mid-air, m times Body::scale: half a hand and a little.
constexpr double kClear = 0.035;
/// Near its ends the way comes down to the hold: what is asked grows from the holds with the distance from them.
constexpr double kClearSlope = 0.4;

double find_asked(const PathEnds& ends, const Vec3& p_WQ) {
  const double from_end_m = std::min((p_WQ - ends.p_Wfrom).norm(), (p_WQ - ends.p_Wto).norm());
  const double clear_m = kClear * ends.body_scale;
  return std::min(clear_m, kClearSlope * std::max(from_end_m - clear_m, 0.0));
}

struct Distance {
  double distance_m = std::numeric_limits<double>::infinity();
  Vec3 gradient = Vec3::UnitZ();
};

/// To the box around a hold: `width` along its lip, `height` up-slope, `protrusion` out of the panel. The bolt sits in
/// the middle of the height, as near as the shapes tell.
Distance find_hold_distance(const PlacedHold& placed, const Vec3& p_WQ) {
  const hold::Shape& shape = placed.hold.shape;
  const Vec3 half(0.5 * shape.width_m, 0.5 * shape.height_m, 0.5 * shape.protrusion_m);
  const Vec3 p_HQ = placed.X_WH.R.transpose() * (p_WQ - placed.X_WH.p) - Vec3(0.0, 0.0, half.z());
  const Vec3 outside = (p_HQ.cwiseAbs() - half).cwiseMax(0.0);
  Distance distance;
  distance.distance_m = outside.norm();
  // Inside, the way out is off the panel.
  const Vec3 out_H = distance.distance_m > 0.0 ? Vec3(outside.cwiseProduct(p_HQ.cwiseSign()) / distance.distance_m)
                                               : Vec3(Vec3::UnitZ());
  if (distance.distance_m == 0.0) distance.distance_m = p_HQ.z() - half.z();
  distance.gradient = placed.X_WH.R * out_H;
  return distance;
}

Distance find_distance(const Scene& scene, const PathEnds& ends, const Vec3& p_WQ) {
  const wall::Nearest nearest = wall::find_nearest(scene.wall, p_WQ);
  Distance least{nearest.distance_m, nearest.gradient};
  for (std::size_t i = 0; i < scene.holds.size(); ++i) {
    if (static_cast<int>(i) == ends.hold_from || static_cast<int>(i) == ends.hold_to) continue;
    const Distance distance = find_hold_distance(scene.holds[i], p_WQ);
    if (distance.distance_m < least.distance_m) least = distance;
  }
  return least;
}

using Knots = std::array<Vec3, LimbPath::kKnots>;

/// Cubic that leaves and meets the wall square; its middle lies `arc_m` off the straight line.
Knots make_arc(const PathEnds& ends, double arc_m) {
  const Vec3 p1 = ends.p_Wfrom + 4.0 / 3.0 * arc_m * ends.normal_Wfrom;
  const Vec3 p2 = ends.p_Wto + 4.0 / 3.0 * arc_m * ends.normal_Wto;
  Knots knots;
  for (int i = 0; i < LimbPath::kKnots; ++i) {
    const double u = static_cast<double>(i) / (LimbPath::kKnots - 1);
    const double v = 1.0 - u;
    knots[static_cast<std::size_t>(i)] =
        v * v * v * ends.p_Wfrom + 3.0 * v * v * u * p1 + 3.0 * v * u * u * p2 + u * u * u * ends.p_Wto;
  }
  return knots;
}

double find_spare(const Scene& scene, const PathEnds& ends, const Knots& knots) {
  double spare_m = std::numeric_limits<double>::infinity();
  for (const Vec3& p_WQ : knots) {
    spare_m = std::min(spare_m, find_distance(scene, ends, p_WQ).distance_m - find_asked(ends, p_WQ));
  }
  return spare_m;
}

/// Moves the inner knots off what they are too near to, and evens them out.
void push_off(const Scene& scene, const PathEnds& ends, Knots& knots) {
  for (int pass = 0; pass < kMaxPushes && find_spare(scene, ends, knots) < 0.0; ++pass) {
    for (std::size_t i = 1; i + 1 < knots.size(); ++i) {
      knots[i] = 0.5 * knots[i] + 0.25 * (knots[i - 1] + knots[i + 1]);
    }
    for (std::size_t i = 1; i + 1 < knots.size(); ++i) {
      const Distance distance = find_distance(scene, ends, knots[i]);
      const double lack_m = find_asked(ends, knots[i]) - distance.distance_m;
      if (lack_m > 0.0) knots[i] += 1.05 * lack_m * distance.gradient;
    }
  }
}

}  // namespace

Vec3 LimbPath::at(double u) const {
  const double place = std::clamp(u, 0.0, 1.0) * (kKnots - 1);
  const int i = std::min(static_cast<int>(place), kKnots - 2);
  const double x = place - i;
  const auto knot = [this](int k) { return knots_[static_cast<std::size_t>(std::clamp(k, 0, kKnots - 1))]; };
  // Cubic with the slopes of the neighbours' chords.
  const Vec3 slope_a = 0.5 * (knot(i + 1) - knot(i - 1));
  const Vec3 slope_b = 0.5 * (knot(i + 2) - knot(i));
  const double x2 = x * x;
  const double x3 = x2 * x;
  return (2.0 * x3 - 3.0 * x2 + 1.0) * knot(i) + (x3 - 2.0 * x2 + x) * slope_a + (3.0 * x2 - 2.0 * x3) * knot(i + 1) +
         (x3 - x2) * slope_b;
}

LimbPath make_limb_path(const Scene& scene, const PathEnds& ends) {
  LimbPath path;
  double arc_m = kArc * ends.body_scale + kArcOnLength * (ends.p_Wto - ends.p_Wfrom).norm();
  path.knots_ = make_arc(ends, arc_m);
  path.spare_m_ = find_spare(scene, ends, path.knots_);
  for (int i = 1; i < kMaxArcs && path.spare_m_ < 0.0; ++i) {
    const Knots higher = make_arc(ends, kArcGrowth * arc_m);
    const double spare_m = find_spare(scene, ends, higher);
    if (spare_m <= path.spare_m_) break;
    arc_m *= kArcGrowth;
    path.knots_ = higher;
    path.spare_m_ = spare_m;
  }
  if (path.spare_m_ < 0.0) {
    push_off(scene, ends, path.knots_);
    path.spare_m_ = find_spare(scene, ends, path.knots_);
  }
  return path;
}

}  // namespace steepwright::move
