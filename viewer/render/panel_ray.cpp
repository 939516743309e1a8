#include "viewer/render/panel_ray.h"

#include "viewer/render/convert.h"

#include <cmath>
#include <cstddef>

namespace steepwright::viewer::render {

std::optional<PanelPoint> find_point_on_strip(const wall::Wall& wall, int strip_index, const Ray& ray) {
  if (strip_index < 0 || static_cast<std::size_t>(strip_index) >= wall.strips.size()) return std::nullopt;
  const wall::Strip& strip = wall.strips[static_cast<std::size_t>(strip_index)];
  const Vec3 p_WR = to_eigen(ray.p_W);
  const Vec3 direction_W = to_eigen(ray.direction_W);
  // Towards the face: against its normal. A ray nearly along the face would land anywhere.
  constexpr double kLeastSlope = 1e-4;
  const double approach = -strip.X_WP.R.col(2).dot(direction_W);
  if (approach < kLeastSlope) return std::nullopt;
  const double distance_m = strip.X_WP.R.col(2).dot(p_WR - strip.X_WP.p) / approach;
  if (distance_m < 0.0) return std::nullopt;
  const Vec3 p_P = strip.X_WP.inverse() * Vec3(p_WR + distance_m * direction_W);
  return PanelPoint{strip_index, p_P.x(), p_P.y(), distance_m};
}

std::optional<PanelPoint> find_panel_point(const wall::Wall& wall, const Ray& ray) {
  std::optional<PanelPoint> nearest;
  for (std::size_t i = 0; i < wall.strips.size(); ++i) {
    const std::optional<PanelPoint> point = find_point_on_strip(wall, static_cast<int>(i), ray);
    if (!point || (nearest && point->distance_m >= nearest->distance_m)) continue;
    const wall::Strip& strip = wall.strips[i];
    const bool is_on_strip = point->across_m >= 0.0 && point->across_m <= strip.width_m && point->up_m >= 0.0 &&
                             point->up_m <= strip.length_m;
    if (is_on_strip) nearest = point;
  }
  return nearest;
}

}  // namespace steepwright::viewer::render
