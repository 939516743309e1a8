#pragma once

/// Joins equal and nearly equal points while a mesh is read or cleaned.

#include "engine/core/frames.h"

#include <cstddef>
#include <cstdint>
#include <vector>

namespace steepwright::hold {

/// Points in cells of a hash grid. A point within `tolerance` of one that is there is that one.
class CornerWelder {
 public:
  /// `tolerance` in the unit of the points; 0 joins equal points only.
  CornerWelder(double tolerance, std::size_t expected);

  /// Index of the point in points().
  std::uint32_t add(const Vec3& p);

  [[nodiscard]] std::vector<Vec3>& points() { return points_; }

 private:
  struct Cell {
    std::int64_t x = 0, y = 0, z = 0;
    bool operator==(const Cell& other) const = default;
  };
  [[nodiscard]] Cell cell_of(const Vec3& p) const;
  [[nodiscard]] std::size_t slot_of(const Cell& cell) const;
  [[nodiscard]] std::uint32_t find_near(const Vec3& p) const;
  [[nodiscard]] std::uint32_t find_in(const Cell& cell, const Vec3& p) const;
  void grow();

  double tolerance_ = 0.0;
  double cell_ = 0.0;
  std::vector<Vec3> points_;
  std::vector<std::uint32_t> next_;   ///< next point of the same slot
  std::vector<std::uint32_t> heads_;  ///< first point of each slot
};

}  // namespace steepwright::hold
