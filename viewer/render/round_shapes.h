#pragma once

/// The forms that limbs, arrows, discs and lines are drawn from: stretched in the vertex shader, one copy each.

#include "viewer/gl/objects.h"

namespace steepwright::viewer::render {

struct ShapeMesh {
  gl::VertexArray array;
  gl::Buffer vertices, indices;
  GLsizei n_indices = 0;
};

/// A ball cut in two halves that part; see limb_vertex().
[[nodiscard]] ShapeMesh make_limb_shape();
/// Shaft and head with flat ends; see arrow_vertex().
[[nodiscard]] ShapeMesh make_arrow_shape();
/// Corners (-1, -1) to (1, 1).
[[nodiscard]] ShapeMesh make_disc_shape();
/// Corners (0, -1) to (1, 1).
[[nodiscard]] ShapeMesh make_line_shape();

}  // namespace steepwright::viewer::render
