#include "engine/hold/triangulate.h"

#include <gtest/gtest.h>

#include <cmath>

namespace steepwright::hold {
namespace {

using Points = std::vector<Eigen::Vector2d>;
using Loops = std::vector<std::vector<std::uint32_t>>;

/// Sum of the triangles' signed areas; every one must be counter-clockwise.
double sum_areas(const Points& points, const std::vector<std::array<std::uint32_t, 3>>& triangles) {
  double sum = 0.0;
  for (const auto& t : triangles) {
    const Eigen::Vector2d u = points[t[1]] - points[t[0]];
    const Eigen::Vector2d v = points[t[2]] - points[t[0]];
    const double area = 0.5 * (u.x() * v.y() - u.y() * v.x());
    EXPECT_GT(area, 1e-12);
    sum += area;
  }
  return sum;
}

TEST(Triangulate, FillsAnAngledOutline) {
  const Points points = {{0, 0}, {3, 0}, {3, 1}, {1, 1}, {1, 3}, {0, 3}};
  const auto triangles = triangulate(points, {{0, 1, 2, 3, 4, 5}});
  EXPECT_EQ(triangles.size(), 4U);
  EXPECT_NEAR(sum_areas(points, triangles), 5.0, 1e-12);
}

TEST(Triangulate, LeavesHolesThatShareLinesWithEachOther) {
  // Two squares side by side: their sides lie on common lines, and with the outline's middle.
  const Points points = {{0, 0}, {7, 0}, {7, 3}, {0, 3}, {1, 1}, {1, 2},
                         {2, 2}, {2, 1}, {4, 1}, {4, 2}, {5, 2}, {5, 1}};
  const Loops loops = {{0, 1, 2, 3}, {4, 5, 6, 7}, {8, 9, 10, 11}};
  const auto triangles = triangulate(points, loops);
  // n corners and h holes give n + 2 h - 2 triangles.
  EXPECT_EQ(triangles.size(), 14U);
  EXPECT_NEAR(sum_areas(points, triangles), 19.0, 1e-12);
}

TEST(Triangulate, LeavesARoundHole) {
  Points points = {{-2, -2}, {2, -2}, {2, 2}, {-2, 2}};
  Loops loops = {{0, 1, 2, 3}, {}};
  constexpr int kSides = 24;
  for (int k = 0; k < kSides; ++k) {
    const double angle = -2.0 * 3.14159265358979323846 * k / kSides;
    loops[1].push_back(static_cast<std::uint32_t>(points.size()));
    points.emplace_back(std::cos(angle), std::sin(angle));
  }
  const double hole = 0.5 * kSides * std::sin(2.0 * 3.14159265358979323846 / kSides);
  EXPECT_NEAR(sum_areas(points, triangulate(points, loops)), 16.0 - hole, 1e-12);
}

}  // namespace
}  // namespace steepwright::hold
