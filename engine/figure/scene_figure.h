#pragma once

/// The scene that does not move: wall, T-nuts, holds, floor, room.

#include "engine/figure/primitive.h"
#include "engine/move/scene.h"

namespace steepwright::figure {

/// Faces of the strips (labelled with name and angle), side profiles of the sections, T-nuts as balls, holds as boxes
/// without back (labelled with their names), the floor and the room as lines.
[[nodiscard]] Figure make_scene_figure(const move::Scene& scene);

/// "panel, 35 deg" as pictures write it.
[[nodiscard]] std::string describe_strip(const wall::Strip& strip);

}  // namespace steepwright::figure
