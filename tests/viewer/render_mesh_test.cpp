/// Meshes for drawing: normals, boards, holds; the scene as data.

#include "engine/hold/make_mesh.h"
#include "tests/viewer/render_scenes.h"
#include "viewer/render/box_mesh.h"

#include <gtest/gtest.h>

#include <cmath>
#include <set>

namespace steepwright::tests {
namespace {

namespace vr = viewer::render;

/// A prism of n sides about z: flat ends, sides that meet at 360/n degrees.
hold::Mesh make_prism(int n) {
  hold::Mesh mesh;
  for (const double z : {0.0, 1.0}) {
    for (int i = 0; i < n; ++i) {
      const double angle = 2.0 * 3.14159265358979 * i / n;
      mesh.vertices.emplace_back(std::cos(angle), std::sin(angle), z);
    }
  }
  const auto at = [n](int ring, int i) { return static_cast<std::uint32_t>(ring * n + i % n); };
  for (int i = 0; i < n; ++i) {
    mesh.triangles.push_back({at(0, i), at(0, i + 1), at(1, i + 1)});
    mesh.triangles.push_back({at(0, i), at(1, i + 1), at(1, i)});
  }
  for (int i = 1; i + 1 < n; ++i) {
    mesh.triangles.push_back({at(1, 0), at(1, i), at(1, i + 1)});
    mesh.triangles.push_back({at(0, 0), at(0, i + 1), at(0, i)});
  }
  return mesh;
}

TEST(ShadedMesh, KeepsSharpEdgesAndRoundsFlatOnes) {
  const auto round = vr::make_shaded_mesh(make_prism(24));
  // Sides meet at 15 deg: one normal a corner, radial; ends at 90 deg: another.
  EXPECT_EQ(round->positions.size(), 2U * 2U * 24U);
  for (std::size_t i = 0; i < round->positions.size(); ++i) {
    const glm::vec3& n = round->normals[i];
    EXPECT_NEAR(glm::length(n), 1.0F, 1e-5F);
    const glm::vec3 radial(round->positions[i].x, round->positions[i].y, 0.0F);
    EXPECT_TRUE(std::abs(std::abs(n.z) - 1.0F) < 1e-5F || glm::dot(n, radial) > 0.999F);
  }
  // Six sides meet at 60 deg: all sharp, three normals a corner.
  EXPECT_EQ(vr::make_shaded_mesh(make_prism(6))->positions.size(), 3U * 2U * 6U);
}

// A large face beside the first, narrow facet of a rounding: its corners lean by less than a tenth of the facet's turn.
TEST(ShadedMesh, FlatFacesStayFlatBesideARounding) {
  hold::Shape shape{"rail", hold::Family::kEdge, hold::Surface::kRawWood, 0.4, 0.06, 0.05, 0.03, 0.09, 0.008};
  ASSERT_FALSE(has_errors(hold::check_shape(shape)));
  const hold::Mesh mesh = hold::make_mesh(shape);
  const auto shaded = vr::make_shaded_mesh(mesh);
  int n_front = 0;
  for (std::size_t i = 0; i < shaded->indices.size(); i += 3) {
    glm::vec3 face(0.0F);
    std::array<glm::vec3, 3> p{};
    for (std::size_t k = 0; k < 3; ++k) p[k] = shaded->positions[shaded->indices[i + k]];
    face = glm::normalize(glm::cross(p[1] - p[0], p[2] - p[0]));
    if (face.z < 0.9999F) continue;
    for (std::size_t k = 0; k < 3; ++k) {
      if (p[k].z < 0.0499F) continue;
      ++n_front;
      EXPECT_GT(shaded->normals[shaded->indices[i + k]].z, std::cos(0.02F));
    }
  }
  EXPECT_GT(n_front, 0);
}

TEST(ShadedMesh, KeepsEveryTriangle) {
  const hold::Mesh mesh = make_prism(9);
  const auto shaded = vr::make_shaded_mesh(mesh);
  ASSERT_EQ(shaded->indices.size(), 3 * mesh.triangles.size());
  for (std::size_t i = 0; i < mesh.triangles.size(); ++i) {
    for (std::size_t k = 0; k < 3; ++k) {
      const Vec3& p = mesh.vertices[mesh.triangles[i][k]];
      const glm::vec3& q = shaded->positions[shaded->indices[3 * i + k]];
      EXPECT_LT(glm::distance(glm::dvec3(p.x(), p.y(), p.z()), glm::dvec3(q)), 1e-6);
    }
  }
}

TEST(HoldMeshes, SameFormIsOneMesh) {
  vr::HoldMeshes meshes;
  hold::Shape shape{"a", hold::Family::kEdge, hold::Surface::kRawWood, 0.4, 0.045, 0.035, 0.03, 0.09, 0.006};
  const vr::MeshHandle first = meshes.find(hold::make_hold(shape));
  shape.name = "b";
  shape.surface = hold::Surface::kGrit;
  EXPECT_EQ(meshes.find(hold::make_hold(shape)), first);
  shape.width_m = 0.3;
  EXPECT_NE(meshes.find(hold::make_hold(shape)), first);
}

// An imported hold is drawn as its mesh when that is known, else as a block of its size.
TEST(HoldMeshes, ImportedHoldHasItsMeshOrItsSize) {
  hold::Hold hold;
  hold.shape.name = "scan";
  hold.shape.family = hold::Family::kImported;
  hold.shape.width_m = 0.2;
  hold.shape.height_m = 0.1;
  hold.shape.protrusion_m = 0.05;
  vr::HoldMeshes meshes;
  glm::vec3 lower(1e3F);
  glm::vec3 upper(-1e3F);
  for (const glm::vec3& p_M : meshes.find(hold)->positions) {
    lower = glm::min(lower, p_M);
    upper = glm::max(upper, p_M);
  }
  EXPECT_NEAR(upper.x - lower.x, 0.2, 1e-6);
  EXPECT_NEAR(upper.y - lower.y, 0.1, 1e-6);
  EXPECT_NEAR(upper.z, 0.05, 1e-6);
  meshes.add("scan", vr::make_shaded_mesh(make_prism(5)));
  EXPECT_EQ(meshes.find(hold)->indices.size(), 3 * make_prism(5).triangles.size());
}

// The front of every board is the strip's face, to the corner.
TEST(WallMesh, BoardsEndWhereStripsDo) {
  const move::Scene scene = make_sample_scene();
  vr::RenderScene drawn;
  vr::append_wall(scene.wall, {}, drawn);
  std::set<std::uint32_t> found;
  for (const vr::MeshInstance& board : drawn.meshes) {
    if (board.pick.kind != vr::PickId::Kind::kPanel) continue;
    found.insert(board.pick.index);
    const wall::Strip& strip = scene.wall.strips[board.pick.index];
    const Vec3 expected = strip.X_WP * Vec3(strip.width_m, strip.length_m, 0.0);
    const glm::vec4 corner = board.X_WM * glm::vec4(0.5F, 0.5F, 0.5F, 1.0F);
    EXPECT_LT(glm::distance(glm::dvec3(corner), glm::dvec3(expected.x(), expected.y(), expected.z())), 1e-5);
  }
  EXPECT_EQ(found.size(), scene.wall.strips.size());
  std::size_t n_nuts = 0;
  for (const wall::Strip& strip : scene.wall.strips) n_nuts += wall::make_lattice_points(strip).size();
  EXPECT_EQ(drawn.discs.size(), n_nuts);
}

TEST(RenderScene, AppendKeepsBandsApart) {
  vr::RenderScene a;
  a.begin_band(false);
  a.add_band_triangle({}, {}, {});
  vr::RenderScene b;
  b.begin_band(true);
  b.add_band_triangle({{1.0F, 0.0F, 0.0F}}, {}, {});
  append(a, b);
  ASSERT_EQ(a.bands.size(), 2U);
  EXPECT_TRUE(a.bands[1].lies_on_face);
  EXPECT_EQ(a.band_vertices[a.band_indices[a.bands[1].first_index]].p_W.x, 1.0F);
  a.clear();
  EXPECT_TRUE(a.bands.empty() && a.band_indices.empty() && a.band_vertices.empty());
}

TEST(UnitBox, FacesLookOutwardAndInward) {
  for (const bool is_room : {false, true}) {
    const vr::MeshData& box = is_room ? *vr::unit_room() : *vr::unit_box();
    for (std::size_t i = 0; i < box.indices.size(); i += 3) {
      const glm::vec3& a = box.positions[box.indices[i]];
      const glm::vec3 cross = glm::cross(box.positions[box.indices[i + 1]] - a, box.positions[box.indices[i + 2]] - a);
      EXPECT_GT(glm::dot(cross, box.normals[box.indices[i]]), 0.0F);
      EXPECT_EQ(glm::dot(cross, a) < 0.0F, is_room);
    }
  }
}

}  // namespace
}  // namespace steepwright::tests
