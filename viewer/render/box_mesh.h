#pragma once

/// Boxes for boards, joists, mats and the room.

#include "viewer/render/render_scene.h"

namespace steepwright::viewer::render {

/// Cube of side 1 m about the origin, six flat faces; scale it. One handle for all, so that all are drawn in one go.
[[nodiscard]] const MeshHandle& unit_box();
/// The same seen from within.
[[nodiscard]] const MeshHandle& unit_room();

/// Pose of a unit box that fills [lower, upper] of frame A, given X_WA.
[[nodiscard]] glm::mat4 find_box_pose(const glm::mat4& X_WA, const glm::vec3& lower_A, const glm::vec3& upper_A);

}  // namespace steepwright::viewer::render
