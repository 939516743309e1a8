#include "engine/study/reach_border.h"

#include <Eigen/Core>

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::study {

namespace {

using Vec2 = Eigen::Vector2d;

double find_distance(const Vec2& p, const BorderSegment& segment) {
  const Vec2 a(segment.across_m[0], segment.up_m[0]);
  const Vec2 b(segment.across_m[1], segment.up_m[1]);
  const Vec2 along = b - a;
  const double length2 = along.squaredNorm();
  const double share = length2 > 0.0 ? std::clamp((p - a).dot(along) / length2, 0.0, 1.0) : 0.0;
  return (p - a - share * along).norm();
}

}  // namespace

void add_border(int strip, double across_m, double up_m, double size_m, const std::array<bool, 4>& is_held,
                std::vector<BorderSegment>& border) {
  const std::array<Vec2, 4> middles = {Vec2(0.5, 0.0), Vec2(1.0, 0.5), Vec2(0.5, 1.0), Vec2(0.0, 0.5)};
  // Walking round the cell, the border leaves it where held ground ends and enters it where it begins.
  for (std::size_t leaving = 0; leaving < 4; ++leaving) {
    if (!is_held[leaving] || is_held[(leaving + 1) % 4]) continue;
    std::size_t entering = leaving;
    do {
      entering = (entering + 3) % 4;
    } while (is_held[entering] || !is_held[(entering + 1) % 4]);
    BorderSegment segment;
    segment.strip = strip;
    for (std::size_t end = 0; end < 2; ++end) {
      const Vec2& middle = middles[end == 0 ? leaving : entering];
      segment.across_m[end] = across_m + size_m * middle.x();
      segment.up_m[end] = up_m + size_m * middle.y();
    }
    border.push_back(segment);
  }
}

void measure_margins(const std::vector<BorderSegment>& border, std::vector<ReachPlace>& places) {
  for (ReachPlace& place : places) {
    double distance_m = std::numeric_limits<double>::infinity();
    for (const BorderSegment& segment : border) {
      if (segment.strip != place.strip) continue;
      distance_m = std::min(distance_m, find_distance(Vec2(place.across_m, place.up_m), segment));
    }
    place.margin_m = place.is_held ? distance_m : -distance_m;
  }
}

}  // namespace steepwright::study
