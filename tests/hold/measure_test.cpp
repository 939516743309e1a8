/// Sites measured on meshes whose dimensions are known because the meshes were made from them.

#include "engine/hold/measure.h"

#include "engine/core/random.h"
#include "engine/core/units.h"
#include "engine/hold/grips.h"
#include "engine/hold/make_mesh.h"
#include "engine/hold/mesh_format.h"
#include "engine/hold/mesh_import.h"
#include "engine/hold/profile.h"
#include "tests/hold/random_shape.h"
#include "tests/hold/shapes.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <set>
#include <string>

namespace steepwright::hold::tests {
namespace {

/// What a measured site may differ by. The width's is beside what roundings at the sides take.
struct Tolerance {
  double depth_mm = 0.5, radius_mm = 0.5, radius_share = 0.1, incut_deg = 1.5, mouth_mm = 1.0, width_mm = 2.0;
};

const MeasuredSite* find_counterpart(const std::vector<MeasuredSite>& sites, const Site& made) {
  const MeasuredSite* nearest = nullptr;
  double least = 0.01;
  for (const MeasuredSite& measured : sites) {
    // Along the lip only near: mitred ends take more off one end than off the other.
    const Vec3 off = made.X_HS.R.transpose() * (measured.site.X_HS.p - made.X_HS.p);
    const double distance = std::hypot(off.y(), off.z());
    if (std::abs(off.x()) > 0.1 * made.width_m || measured.site.X_HS.R.col(0).dot(made.X_HS.R.col(0)) < 0.9 ||
        distance > least)
      continue;
    nearest = &measured;
    least = distance;
  }
  return nearest;
}

std::string describe(const Shape& shape, const Site& made) {
  return fmt::format("{} '{}': width {:.2f} depth {:.2f} incut {:.2f} radius {:.2f} mouth {:.2f}, body {:.1f} x {:.1f}",
                     name_of(shape.family), made.name, mm_from_m(made.width_m), mm_from_m(made.depth_m),
                     deg_from_rad(made.incut), mm_from_m(made.lip_radius_m), mm_from_m(made.mouth_m),
                     mm_from_m(shape.height_m), mm_from_m(shape.protrusion_m));
}

std::set<Grip> grips_of(const Site& site) { return {site.grips.begin(), site.grips.end()}; }

/// Sites for feet on tops and fronts are declared, not shaped: only floors that the shape's dimensions describe count.
bool is_shaped(const Shape& shape, const Site& made) {
  return made.name != "front" && !(shape.family == Family::kPinch && made.name == "top");
}

/// Mitred and round lips are shorter than the body that they are on.
bool has_square_ends(const Shape& shape) { return shape.family != Family::kVolume && !is_round(shape); }

void expect_same_sites(const Mesh& mesh, const Shape& shape, const Tolerance& tolerance, bool compares_grips = true) {
  const std::vector<MeasuredSite> sites = measure_sites(mesh);
  for (const Site& made : make_hold(shape).sites) {
    if (!is_shaped(shape, made)) continue;
    SCOPED_TRACE(describe(shape, made));
    const MeasuredSite* measured = find_counterpart(sites, made);
    ASSERT_NE(measured, nullptr) << "not found";
    const Site& site = measured->site;
    const double radius_mm = mm_from_m(made.lip_radius_m);
    EXPECT_NEAR(mm_from_m(site.depth_m), mm_from_m(made.depth_m), tolerance.depth_mm);
    EXPECT_NEAR(mm_from_m(site.lip_radius_m), radius_mm, tolerance.radius_mm);
    if (radius_mm > 0.5) {
      EXPECT_NEAR(mm_from_m(site.lip_radius_m), radius_mm, tolerance.radius_share * radius_mm);
    }
    EXPECT_NEAR(deg_from_rad(site.incut), deg_from_rad(made.incut), tolerance.incut_deg);
    EXPECT_NEAR(mm_from_m(site.mouth_m), mm_from_m(made.mouth_m), tolerance.mouth_mm);
    if (has_square_ends(shape)) {
      EXPECT_NEAR(mm_from_m(site.width_m), mm_from_m(made.width_m), tolerance.width_mm);
    }
    const bool is_for_hands = made.use != Site::Use::kFoot && has_square_ends(shape);
    if (is_for_hands && compares_grips) {
      EXPECT_EQ(grips_of(site), grips_of(made));
    }
  }
}

/// Random shapes whose rounding leaves some straight floor, so that the mesh shows all their dimensions, and that stand
/// clear of the limits between grips by more than the tolerance.
std::vector<Shape> draw_shapes(std::uint64_t seed, int rounds) {
  constexpr double kStraightFloor_m = 0.004;
  RandomStream random(seed);
  std::vector<Shape> shapes;
  for (int round = 0; round < rounds; ++round) {
    for (int family = 0; family < 7; ++family) {
      for (;;) {
        Shape shape = draw_shape(random, static_cast<Family>(family));
        if (shape.family == Family::kPocket) {
          shape.fingers = std::clamp(static_cast<int>((shape.width_m + 1e-4) / kFingerBreadth_m), 2, 4);
        }
        if (shape.depth_m - find_rounding_length(shape) < kStraightFloor_m || !check_shape(shape).empty()) continue;
        shapes.push_back(shape);
        break;
      }
    }
  }
  return shapes;
}

constexpr std::array kFormats = {MeshFormat::kBinaryStl, MeshFormat::kTextStl, MeshFormat::kObj, MeshFormat::kPly,
                                 MeshFormat::kGlb};
constexpr std::array kFileNames = {"hold.stl", "hold.stl", "hold.obj", "hold.ply", "hold.glb"};

/// Out through a file's bytes and in again; sides and bolt are told, the unit is not.
Mesh pass_through_file(const Mesh& mesh, std::size_t which, ImportOptions options = {}) {
  if (!options.out_axis) options.out_axis = Vec3::UnitZ();
  if (!options.up_axis) options.up_axis = Vec3::UnitY();
  if (!options.p_bolt_m) options.p_bolt_m = Vec3::Zero();
  auto imported = import_mesh(format_mesh(mesh, "hold", kFormats[which]), kFileNames[which], "", options);
  EXPECT_TRUE(imported.has_value()) << to_text(imported.error().front());
  return imported ? std::move(imported->mesh) : Mesh{};
}

Mesh turned(const Mesh& mesh, const Mat3& R, double scale = 1.0) {
  Mesh result = mesh;
  for (Vec3& p : result.vertices) p = scale * (R * p);
  return result;
}

// The dimensions that a shaper gives come back from the file: the mesh is all that the measurement sees.
TEST(Measure, FindsTheDimensionsThatAHoldWasMadeFrom) {
  std::size_t which = 0;
  for (const Shape& shape : draw_shapes(7, 6)) {
    SCOPED_TRACE(kFileNames[which % kFormats.size()]);
    expect_same_sites(pass_through_file(make_mesh(shape), which % kFormats.size()), shape, {});
    ++which;
  }
}

TEST(Measure, IsTheSameInTheFilesOtherAxes) {
  Mat3 R;  // out of the panel along -y, up along z: how most modellers stand a hold
  R << 1, 0, 0, 0, 0, -1, 0, 1, 0;
  ImportOptions options;
  options.out_axis = -Vec3::UnitY();
  options.up_axis = Vec3::UnitZ();
  std::size_t which = 0;
  for (const Shape& shape : draw_shapes(8, 1))
    expect_same_sites(pass_through_file(turned(make_mesh(shape), R), which++ % kFormats.size(), options), shape, {});
}

TEST(Measure, IsTheSameInCentimetresAndInches) {
  std::size_t which = 0;
  for (const Shape& shape : draw_shapes(9, 1)) {
    const bool is_cm = which % 2 == 0;
    ImportOptions options;
    options.unit = is_cm ? LengthUnit::kCentimetre : LengthUnit::kInch;
    // The writers take m and write mm.
    const double scale = is_cm ? 0.1 : 1.0 / 25.4;
    const Mesh mesh = turned(make_mesh(shape), Mat3::Identity(), scale);
    expect_same_sites(pass_through_file(mesh, which++ % 4, options), shape, {});
  }
}

// Noise of a scan: up to 0.05 mm on every corner. Short floors turn by more than the files' own error.
TEST(Measure, BearsNoiseOfAScan) {
  RandomStream random(3);
  for (const Shape& shape : all_families()) {
    Mesh mesh = make_mesh(shape);
    for (Vec3& p : mesh.vertices) p += 5e-5 * Vec3(random.symmetric(1.0), random.symmetric(1.0), random.symmetric(1.0));
    Tolerance tolerance;
    tolerance.radius_share = 0.12;
    expect_same_sites(mesh, shape, tolerance);
  }
}

TEST(Measure, BearsAMissingTriangle) {
  RandomStream random(4);
  for (const Shape& shape : all_families()) {
    if (shape.family == Family::kVolume) continue;  // its triangles are wider than any gap that is bridged
    for (int attempt = 0; attempt < 6; ++attempt) {
      Mesh mesh = make_mesh(shape);
      const auto lost = static_cast<std::size_t>(random.uniform() * static_cast<double>(mesh.triangles.size()));
      mesh.triangles.erase(mesh.triangles.begin() + static_cast<std::ptrdiff_t>(lost));
      SCOPED_TRACE(fmt::format("without triangle {}", lost));
      expect_same_sites(mesh, shape, {}, false);
    }
  }
}

// Where the rounding reaches the back, the mesh has no straight floor: radius and the floor's end are all there is.
TEST(Measure, SaysWhereTheRoundingLeavesNoFloor) {
  const Shape rounded = shape(Family::kEdge, 120, 60, 20, 20, 0, 20);
  const std::vector<MeasuredSite> sites = measure_sites(make_mesh(rounded));
  ASSERT_FALSE(sites.empty());
  EXPECT_FALSE(sites.front().profile.has_straight_floor);
  EXPECT_NEAR(mm_from_m(sites.front().site.lip_radius_m), 20.0, 0.5);
}

TEST(Measure, TakesNoBoltHoleForAPocket) {
  for (const MeasuredSite& measured : measure_sites(make_mesh(edge(30)))) EXPECT_EQ(measured.site.mouth_m, 0.0);
}

TEST(Measure, OpposesTheThumbOnlyWithinItsSpan) {
  const auto has_thumb_face = [](const Shape& shape) {
    for (const MeasuredSite& measured : measure_sites(make_mesh(shape))) {
      if (measured.site.name == "left flank") return measured.site.has_thumb_face;
    }
    return false;
  };
  EXPECT_TRUE(has_thumb_face(pinch(100)));
  EXPECT_FALSE(has_thumb_face(pinch(200)));
}

TEST(Measure, NamesSitesByWhereTheyLook) {
  std::set<std::string> names;
  for (const MeasuredSite& measured : measure_sites(make_mesh(pocket()))) names.insert(measured.site.name);
  EXPECT_TRUE(names.contains("mouth"));
  EXPECT_TRUE(names.contains("lip"));
  EXPECT_TRUE(names.contains("left flank"));
  EXPECT_EQ(measure_sites(make_mesh(sloper())).front().site.name, "top");
}

TEST(Measure, GivesTheSameTwice) {
  const Mesh mesh = make_mesh(jug());
  const auto first = measure_sites(mesh);
  const auto second = measure_sites(mesh);
  ASSERT_EQ(first.size(), second.size());
  for (std::size_t i = 0; i < first.size(); ++i) {
    EXPECT_EQ(first[i].site.depth_m, second[i].site.depth_m);
    EXPECT_EQ(first[i].site.X_HS.p, second[i].site.X_HS.p);
  }
}

TEST(Measure, FindsNothingWhereThereIsNothing) { EXPECT_TRUE(measure_sites({}).empty()); }

}  // namespace
}  // namespace steepwright::hold::tests
