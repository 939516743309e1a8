#pragma once

/// Triangles over a plane polygon with holes, without new points.

#include <Eigen/Core>

#include <array>
#include <cstdint>
#include <vector>

namespace steepwright::hold {

/// Ear clipping, holes joined to the outline by bridges (textbook method; quadratic to cubic in the number of points,
/// meant for some hundreds), then diagonals turned away from slivers. `loops` index `points`: the first is the outline,
/// counter-clockwise, the others are holes, clockwise. No loop may touch itself or another; the triangles are
/// counter-clockwise and use the loops' indices.
[[nodiscard]] std::vector<std::array<std::uint32_t, 3>> triangulate(
    const std::vector<Eigen::Vector2d>& points, const std::vector<std::vector<std::uint32_t>>& loops);

}  // namespace steepwright::hold
