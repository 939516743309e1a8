#pragma once

/// The forms that limbs, arrows, discs and lines are drawn from: stretched in the vertex shader, one copy each.

#include "viewer/gl/objects.h"

namespace steepwright::viewer::render {

struct ShapeMesh {
  gl::VertexArray array;
  gl::Buffer vertices, indices;
  GLsizei n_indices = 0;
};

/// How finely something round is made of triangles.
struct Roundness {
  int turns = 40;  ///< sides: 0.3 % of the radius off the circle at most
  int arcs = 9;    ///< rings of each half of a ball
};
/// An eighth of the triangles, for plain pictures: 2 % off the circle.
inline constexpr Roundness kCoarse{16, 3};

/// A ball cut in two halves that part; see limb_vertex().
[[nodiscard]] ShapeMesh make_limb_shape(const Roundness& roundness = {});
/// Shaft and head with flat ends; see arrow_vertex().
[[nodiscard]] ShapeMesh make_arrow_shape();
/// Corners (-1, -1) to (1, 1).
[[nodiscard]] ShapeMesh make_disc_shape();
/// Corners (0, -1) to (1, 1).
[[nodiscard]] ShapeMesh make_line_shape();

}  // namespace steepwright::viewer::render
