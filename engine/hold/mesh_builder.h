#pragma once

/// Puts a mesh together from plane faces that share vertices by index, so that what closes on paper is watertight.

#include "engine/hold/mesh.h"

#include <cstdint>
#include <utility>
#include <vector>

namespace steepwright::hold {

class MeshBuilder {
 public:
  using Index = std::uint32_t;
  using Loop = std::vector<Index>;

  Index add_vertex(const Vec3& p_H);
  [[nodiscard]] const Vec3& vertex(Index index) const { return mesh_.vertices[index]; }

  /// Plane quadrilateral, counter-clockwise seen from outside; cut along its shorter diagonal.
  void add_quad(Index a, Index b, Index c, Index d);

  /// Plane polygon, outline counter-clockwise seen from outside, holes clockwise. Corners that lie on the straight line
  /// between their neighbours are no corners: leave them out.
  void add_face(const Loop& outline, const std::vector<Loop>& holes = {});

  [[nodiscard]] Mesh take() { return std::move(mesh_); }

 private:
  Mesh mesh_;
};

}  // namespace steepwright::hold
