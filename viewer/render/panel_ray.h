#pragma once

/// Where a ray meets the wall, on the CPU: what dragging a hold needs.

#include "engine/wall/wall.h"
#include "viewer/camera/camera.h"

#include <optional>

namespace steepwright::viewer::render {

struct PanelPoint {
  int strip = -1;
  double across_m = 0.0, up_m = 0.0;  ///< P frame
  double distance_m = 0.0;            ///< along the ray
};

/// The nearest strip that the ray meets from the climber's side within its edges.
[[nodiscard]] std::optional<PanelPoint> find_panel_point(const wall::Wall& wall, const Ray& ray);

/// Where the ray meets the plane of one strip, also past its edges; none when it runs along or away from it.
[[nodiscard]] std::optional<PanelPoint> find_point_on_strip(const wall::Wall& wall, int strip, const Ray& ray);

}  // namespace steepwright::viewer::render
