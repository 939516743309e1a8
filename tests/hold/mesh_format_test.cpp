/// Every format read back by a reader of its own.

#include "engine/hold/mesh_format.h"

#include "engine/hold/make_mesh.h"
#include "tests/hold/shapes.h"
#include "tests/support/mesh_reader.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace steepwright::hold {
namespace {

using namespace tests;
using ::testing::HasSubstr;
using ::testing::StartsWith;
namespace read = steepwright::tests;

/// Rounding to float of lengths below 1 m, in mm.
constexpr double kFloat_mm = 1e-4;

/// The triangles are the same, corner by corner, whether or not they share vertices.
void expect_same(const Mesh& given, const Mesh& got, double unit_m) {
  ASSERT_EQ(got.triangles.size(), given.triangles.size());
  for (std::size_t t = 0; t < given.triangles.size(); ++t) {
    for (std::size_t i = 0; i < 3; ++i) {
      const Vec3 wanted = given.vertices[given.triangles[t][i]] / unit_m;
      EXPECT_LT((got.vertices[got.triangles[t][i]] - wanted).norm() * unit_m * 1e3, kFloat_mm) << t << " " << i;
    }
  }
}

TEST(MeshFormat, BinaryStlHasTheTrianglesInMm) {
  for (const Shape& shape : all_families()) {
    const Mesh mesh = make_mesh(shape);
    const std::string bytes = format_mesh(mesh, "solid as a rock", MeshFormat::kBinaryStl);
    EXPECT_NE(bytes.substr(0, 5), "solid") << "readers would take it for text";
    expect_same(mesh, read::read_binary_stl(bytes), 1e-3);
  }
}

TEST(MeshFormat, BinaryStlHasUnitNormalsToTheOutside) {
  const Mesh mesh = make_mesh(edge());
  const std::string bytes = format_mesh(mesh, "edge", MeshFormat::kBinaryStl);
  const Mesh got = read::read_binary_stl(bytes);
  for (std::size_t t = 0; t < got.triangles.size(); ++t) {
    const Vec3 normal = read::read_point(bytes, 84 + 50 * t);
    const Vec3 across =
        (got.vertices[3 * t + 1] - got.vertices[3 * t]).cross(got.vertices[3 * t + 2] - got.vertices[3 * t]);
    EXPECT_NEAR(normal.norm(), 1.0, 1e-6);
    EXPECT_GT(normal.dot(across.normalized()), 0.999);
  }
}

TEST(MeshFormat, TextStlHasTheTrianglesInMm) {
  const Mesh mesh = make_mesh(jug());
  const std::string text = format_mesh(mesh, "a\njug", MeshFormat::kTextStl);
  EXPECT_THAT(text, StartsWith("solid a jug\nfacet normal "));
  EXPECT_THAT(text, HasSubstr("endsolid a jug\n"));
  expect_same(mesh, read::read_text_stl(text), 1e-3);
}

TEST(MeshFormat, ObjHasTheTrianglesInMm) {
  for (const Shape& shape : all_families()) {
    const Mesh mesh = make_mesh(shape);
    const Mesh got = read::read_obj(format_mesh(mesh, shape.name, MeshFormat::kObj));
    expect_same(mesh, got, 1e-3);
    EXPECT_TRUE(count_faults(got).none());
  }
}

TEST(MeshFormat, PlyHasTheTrianglesInMm) {
  const Mesh mesh = make_mesh(pocket());
  const Mesh got = read::read_ply(format_mesh(mesh, "pocket", MeshFormat::kPly));
  expect_same(mesh, got, 1e-3);
  EXPECT_EQ(got.vertices.size(), mesh.vertices.size());
}

TEST(MeshFormat, GlbHasTheTrianglesInMetres) {
  for (const Shape& shape : all_families()) {
    const Mesh mesh = make_mesh(shape);
    const read::Glb glb = read::read_glb(format_mesh(mesh, "\"half\\moon\"", MeshFormat::kGlb));
    expect_same(mesh, glb.mesh, 1.0);
    EXPECT_TRUE(count_faults(glb.mesh).none());
    EXPECT_EQ(glb.json["nodes"][0]["name"], "\"half\\moon\"");
    EXPECT_EQ(glb.json["nodes"][0]["extras"]["unit"], "m");
    const Bounds bounds = calc_bounds(glb.mesh);
    for (std::size_t i = 0; i < 3; ++i) {
      const auto axis = static_cast<Eigen::Index>(i);
      EXPECT_FLOAT_EQ(glb.json["accessors"][0]["min"][i], static_cast<float>(bounds.lower[axis]));
      EXPECT_FLOAT_EQ(glb.json["accessors"][0]["max"][i], static_cast<float>(bounds.upper[axis]));
    }
  }
}

TEST(MeshFormat, GlbOfMoreVerticesThanShortIndicesReachUsesLongOnes) {
  Mesh many;
  for (int i = 0; i < 70000; ++i) many.vertices.emplace_back(0.001 * i, 0.0, i % 2);
  many.triangles = {{0, 1, 69999}};
  const read::Glb glb = read::read_glb(format_mesh(many, "many", MeshFormat::kGlb));
  EXPECT_EQ(glb.json["accessors"][1]["componentType"], 5125);
  EXPECT_EQ(glb.mesh.triangles.at(0)[2], 69999U);
}

TEST(MeshFormat, IsToldByTheSuffixInAnyCase) {
  EXPECT_EQ(format_from_suffix(".STL"), MeshFormat::kBinaryStl);
  EXPECT_EQ(format_from_suffix(".obj"), MeshFormat::kObj);
  EXPECT_EQ(format_from_suffix(".ply"), MeshFormat::kPly);
  EXPECT_EQ(format_from_suffix(".glb"), MeshFormat::kGlb);
  EXPECT_EQ(format_from_suffix(".gltf"), std::nullopt);
  EXPECT_EQ(format_from_suffix(""), std::nullopt);
}

}  // namespace
}  // namespace steepwright::hold
