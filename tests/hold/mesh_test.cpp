#include "engine/hold/mesh.h"

#include <gtest/gtest.h>

#include <cmath>

namespace steepwright::hold {
namespace {

/// Corner (0, 0, 0) and one on each axis, 1 m away.
Mesh make_tetrahedron() {
  Mesh mesh;
  mesh.vertices = {Vec3(0, 0, 0), Vec3(1, 0, 0), Vec3(0, 1, 0), Vec3(0, 0, 1)};
  mesh.triangles = {{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}};
  return mesh;
}

TEST(Mesh, MeasuresOfATetrahedronAreTheClosedForms) {
  const Mesh mesh = make_tetrahedron();
  EXPECT_NEAR(calc_volume(mesh), 1.0 / 6.0, 1e-15);
  EXPECT_NEAR(calc_area(mesh), 1.5 + 0.5 * std::sqrt(3.0), 1e-15);
  EXPECT_EQ(calc_bounds(mesh).upper, Vec3(1, 1, 1));
  EXPECT_EQ(calc_bounds(mesh).lower, Vec3(0, 0, 0));
  EXPECT_TRUE(count_faults(mesh).none());
  EXPECT_TRUE(check_watertight(mesh).empty());
}

TEST(Mesh, VolumeDoesNotDependOnThePlace) {
  Mesh mesh = make_tetrahedron();
  for (Vec3& p : mesh.vertices) p += Vec3(10, -20, 30);
  EXPECT_NEAR(calc_volume(mesh), 1.0 / 6.0, 1e-12);
}

TEST(Mesh, CountsTheThreeEdgesOfAMissingTriangle) {
  Mesh mesh = make_tetrahedron();
  mesh.triangles.pop_back();
  EXPECT_EQ(count_faults(mesh).open_edges, 3U);
  EXPECT_EQ(check_watertight(mesh).size(), 1U);
}

TEST(Mesh, CountsTheEdgesOfATurnedTriangle) {
  Mesh mesh = make_tetrahedron();
  std::swap(mesh.triangles[3][0], mesh.triangles[3][1]);
  EXPECT_EQ(count_faults(mesh).non_manifold_edges, 3U);
  EXPECT_EQ(count_faults(mesh).open_edges, 0U);
}

TEST(Mesh, CountsEdgesOfMoreThanTwoTriangles) {
  Mesh mesh = make_tetrahedron();
  mesh.triangles.push_back(mesh.triangles[0]);
  EXPECT_EQ(count_faults(mesh).non_manifold_edges, 3U);
}

TEST(Mesh, CountsTrianglesWithoutAnArea) {
  Mesh mesh = make_tetrahedron();
  mesh.vertices[3] = Vec3(0.5, 0.5, 0.0);
  EXPECT_EQ(count_faults(mesh).degenerate_triangles, 1U) << "the corner fell on the edge from x to y";
  mesh.vertices[3] = Vec3(std::nan(""), 0, 0);
  EXPECT_EQ(count_faults(mesh).degenerate_triangles, 3U);
}

TEST(Mesh, CountsTrianglesOfMissingVertices) {
  Mesh mesh = make_tetrahedron();
  mesh.triangles[1][2] = 4;
  EXPECT_EQ(count_faults(mesh).missing_vertices, 1U);
}

TEST(Mesh, AnEmptyMeshIsNoBody) { EXPECT_EQ(check_watertight(Mesh{}).size(), 1U); }

}  // namespace
}  // namespace steepwright::hold
