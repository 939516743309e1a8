#pragma once

/// Cleaning of triangle soups: corners joined, empty triangles left out, neighbours made to agree, holes counted.

#include "engine/hold/mesh.h"

#include <cstddef>
#include <vector>

namespace steepwright::hold {

struct BoundaryLoop {
  std::vector<std::uint32_t> vertices;  ///< in the direction in which the triangles walk it
};

struct CleanReport {
  std::size_t welded = 0, degenerate = 0, non_manifold_edges = 0, turned_triangles = 0;
  bool is_turned_inside_out = false;
  std::vector<BoundaryLoop> loops;
};

/// Corners nearer than this share of the mesh's size are one (float coordinates are good to 1e-7 of it).
inline constexpr double kWeldShare = 1e-5;

/// Cleans in place; all triangles must have their vertices.
[[nodiscard]] CleanReport clean_mesh(Mesh& mesh);

}  // namespace steepwright::hold
