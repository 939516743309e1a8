#pragma once

/// Triangle meshes of holds: the container, its measures, and whether it is a closed body.

#include "engine/core/error.h"
#include "engine/core/frames.h"

#include <array>
#include <cstddef>
#include <cstdint>
#include <vector>

namespace steepwright::hold {

/// Triangles over shared vertices, in H (origin at the bolt on the panel's face, z out of the panel, y up-slope at
/// rotation 0), metres. Corners run counter-clockwise seen from outside.
struct Mesh {
  std::vector<Vec3> vertices;
  std::vector<std::array<std::uint32_t, 3>> triangles;
};

/// Axis-parallel box in H, m. An empty mesh has lower = upper = 0.
struct Bounds {
  Vec3 lower = Vec3::Zero();
  Vec3 upper = Vec3::Zero();
};

[[nodiscard]] Bounds calc_bounds(const Mesh& mesh);

/// Volume enclosed, m^3: positive when the triangles look outward, exact for a watertight mesh only.
[[nodiscard]] double calc_volume(const Mesh& mesh);

/// Sum of the triangles' areas, m^2.
[[nodiscard]] double calc_area(const Mesh& mesh);

/// What keeps a mesh from bounding a body. Edges are counted by the indices of their vertices: equal points under two
/// indices are two vertices.
struct MeshFaults {
  std::size_t open_edges = 0;            ///< used by one triangle only
  std::size_t non_manifold_edges = 0;    ///< used by more than two triangles, or twice in the same direction
  std::size_t degenerate_triangles = 0;  ///< a corner used twice, or less high than kLeastTriangleHeight_m
  std::size_t missing_vertices = 0;      ///< triangles with an index that no vertex has

  [[nodiscard]] bool none() const {
    return open_edges == 0 && non_manifold_edges == 0 && degenerate_triangles == 0 && missing_vertices == 0;
  }
};

/// A triangle lower than this over its longest side has no direction to rely on: float32 coordinates of a 1 m body in
/// mm are only good to 3e-8 m.
inline constexpr double kLeastTriangleHeight_m = 1e-7;

/// Every edge must be used exactly twice, once in either direction, by triangles that have an area.
[[nodiscard]] MeshFaults count_faults(const Mesh& mesh);

/// The faults as findings, one a kind, with counts; empty when the mesh is watertight.
[[nodiscard]] Findings check_watertight(const Mesh& mesh);

}  // namespace steepwright::hold
