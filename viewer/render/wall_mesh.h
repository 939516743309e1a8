#pragma once

/// The wall and its room as things to draw: panels and kicker as boards, joists behind them, T-nuts, room, floor, mats.

#include "engine/wall/wall.h"
#include "viewer/camera/camera.h"
#include "viewer/render/render_scene.h"
#include "viewer/render/use_scale.h"

#include <vector>

namespace steepwright::viewer::render {

struct WallLook {
  Theme theme = Theme::kDark;
  bool has_room = true;
  bool has_joists = true;
  bool has_tee_nuts = true;
  double mat_thickness_m = 0.3;  ///< WS-602; 0: no mats. Their top is the floor that the engine knows (z = 0).
  int outlined_strip = -1;
};

/// Adds the wall. Boards carry PickId kPanel with the strip's index.
void append_wall(const wall::Wall& wall, const WallLook& look, RenderScene& scene);

/// Lines every `spacing_m` across and up the faces of all strips, every tenth one stronger.
void append_grid(const wall::Wall& wall, Theme theme, RenderScene& scene, double spacing_m = 0.1);

/// Corners of all strips, W: what a view of the wall should show.
[[nodiscard]] std::vector<glm::dvec3> find_wall_corners(const wall::Wall& wall);

/// Box around strips, frame and floor in front of them: what a view of the wall should show.
[[nodiscard]] Box find_wall_box(const wall::Wall& wall);

}  // namespace steepwright::viewer::render
