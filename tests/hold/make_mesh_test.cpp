/// The meshes of the parametric holds: closed, of the stated size, and true to the sections that their sites state.

#include "engine/hold/make_mesh.h"

#include "engine/core/units.h"
#include "engine/hold/profile.h"
#include "tests/hold/random_shape.h"
#include "tests/hold/shapes.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::hold {
namespace {

using namespace tests;

constexpr double kRounding_m = 1e-12;
/// Chords of 0.05 mm, and the rounding of a decimal place.
constexpr double kOffSection_m = 5.1e-5;

constexpr std::array kFamilies = {Family::kEdge,   Family::kSloper,   Family::kPinch, Family::kJug,
                                  Family::kPocket, Family::kFootChip, Family::kVolume};

std::string describe(const Shape& shape) {
  std::string text(name_of(shape.family));
  for (double length :
       {shape.width_m, shape.height_m, shape.protrusion_m, shape.depth_m, shape.lip_radius_m, shape.mouth_m})
    text += " " + std::to_string(mm_from_m(length));
  return text + " at " + std::to_string(deg_from_rad(shape.incut)) + " deg";
}

void expect_watertight(const Shape& shape, const Mesh& mesh) {
  for (const Finding& finding : check_watertight(mesh)) ADD_FAILURE() << describe(shape) << ": " << finding.message;
}

/// Euler characteristic V - E + F: 2 for a ball, 0 for one hole.
int find_euler(const Mesh& mesh) {
  const auto triangles = static_cast<int>(mesh.triangles.size());
  return static_cast<int>(mesh.vertices.size()) - 3 * triangles / 2 + triangles;
}

Mesh make_solid(const Shape& shape) {
  MeshDetail detail;
  detail.has_bolt_hole = false;
  return make_mesh(shape, detail);
}

TEST(MakeMesh, IsWatertightForOneOfEveryFamily) {
  for (const Shape& shape : all_families()) expect_watertight(shape, make_mesh(shape));
}

TEST(MakeMesh, IsWatertightAndOfTheStatedSizeForRandomShapes) {
  RandomStream random(20);
  for (int i = 0; i < 504; ++i) {
    const Shape shape = draw_shape(random, kFamilies[static_cast<std::size_t>(i) % kFamilies.size()]);
    const Mesh mesh = make_mesh(shape);
    expect_watertight(shape, mesh);
    const Bounds bounds = calc_bounds(mesh);
    const double x = 0.5 * find_body_width(shape);
    const double y = 0.5 * shape.height_m;
    EXPECT_EQ(bounds.lower.z(), 0.0) << describe(shape);
    EXPECT_NEAR(bounds.upper.z(), shape.protrusion_m, kRounding_m) << describe(shape);
    EXPECT_TRUE((bounds.lower.head<2>().array() >= -Eigen::Array2d(x, y) - kRounding_m).all()) << describe(shape);
    EXPECT_TRUE((bounds.upper.head<2>().array() <= Eigen::Array2d(x, y) + kRounding_m).all()) << describe(shape);
    // Where the lip is the outermost part, its rounding takes from the extent.
    if (has_back_face(shape) || shape.lip_radius_m == 0.0 || shape.family == Family::kPocket) {
      EXPECT_LT((bounds.upper.head<2>() - Eigen::Vector2d(x, y)).norm(), kPanelReach_m) << describe(shape);
      EXPECT_LT((bounds.lower.head<2>() + Eigen::Vector2d(x, y)).norm(), kPanelReach_m) << describe(shape);
    }
    const double volume = calc_volume(mesh);
    EXPECT_GT(volume, 0.0) << describe(shape);
    EXPECT_LT(volume, (bounds.upper - bounds.lower).prod()) << describe(shape);
  }
}

TEST(MakeMesh, CutsOneBoltHoleWhereThereIsRoom) {
  const Shape large = shape(Family::kEdge, 120, 60, 20, 20, 0, 4);
  EXPECT_EQ(find_euler(make_mesh(large)), 0);
  EXPECT_EQ(find_euler(make_solid(large)), 2);
  const Shape small = shape(Family::kEdge, 120, 12, 20, 20, 0, 2);
  EXPECT_EQ(find_euler(make_mesh(small)), 2) << "12 mm of height have no room for an 11 mm hole";
  const double tube = calc_volume(make_solid(large)) - calc_volume(make_mesh(large));
  EXPECT_NEAR(tube, kPi * kBoltRadius_m * kBoltRadius_m * large.protrusion_m, 0.02 * tube);
}

TEST(MakeMesh, APocketDownToThePanelIsOpenThere) {
  Shape through = pocket();
  through.incut = 0.0;
  through.depth_m = through.protrusion_m;
  EXPECT_EQ(find_euler(make_solid(through)), 0);
  EXPECT_EQ(find_euler(make_solid(pocket())), 2);
}

TEST(MakeMesh, VolumeOfARoundedBlockIsTheClosedForm) {
  // A quarter circle of radius r takes (1 - pi/4) r^2 off the corner.
  for (double radius_mm : {0.0, 1.0, 4.0, 12.0}) {
    const Shape block = shape(Family::kEdge, 120, 40, 20, 20, 0, radius_mm);
    const double r = block.lip_radius_m;
    const double expected = block.width_m * (block.height_m * block.protrusion_m - (1.0 - 0.25 * kPi) * r * r);
    // Chords of 0.05 mm along a quarter circle take up to 2/3 of that times its length.
    const double chords = block.width_m * 5e-5 * 0.5 * kPi * r;
    EXPECT_NEAR(calc_volume(make_solid(block)), expected, chords + 1e-15) << radius_mm;
    EXPECT_LE(calc_volume(make_solid(block)), expected + 1e-15) << "chords lie within the rounding";
  }
}

TEST(MakeMesh, VolumeOfAWedgeIsTheClosedForm) {
  // A floor that slopes out down to the panel leaves a trapezoid: full height at the panel, less by d sin a in front.
  Shape wedge = shape(Family::kEdge, 100, 80, 30, 30, 0, 0);
  wedge.incut = rad_from_deg(-15);
  wedge.depth_m = wedge.protrusion_m / std::cos(wedge.incut);
  const double drop = wedge.depth_m * std::sin(-wedge.incut);
  EXPECT_NEAR(calc_volume(make_solid(wedge)), 0.1 * 0.03 * (0.08 - 0.5 * drop), 1e-15);
}

TEST(MakeMesh, VolumeOfAMouthIsWhatIsMissingInTheBlock) {
  Shape slot = pocket();
  slot.incut = 0.0;
  slot.lip_radius_m = 0.0;
  const double block = find_body_width(slot) * slot.height_m * slot.protrusion_m;
  EXPECT_NEAR(calc_volume(make_solid(slot)), block - slot.width_m * slot.mouth_m * slot.depth_m, 1e-15);
}

TEST(MakeMesh, HasNoFlatTrianglesWhereCornersOfAFaceLieOnALine) {
  // The front's edges and the bolt's hole: cutting off the highest ear each time ends with corners on a line.
  const Shape sloping = shape(Family::kSloper, 60, 372, 279.97434, 279.97434, 0, 35);
  EXPECT_EQ(count_faults(make_mesh(sloping)).degenerate_triangles, 0U);
}

/// Where the mesh crosses the half plane of a site's section, in S: (y, z) of every crossing of an edge.
std::vector<Eigen::Vector2d> cut(const Mesh& mesh, const Pose& X_HS) {
  const Pose X_SH = X_HS.inverse();
  std::vector<Eigen::Vector2d> points;
  for (const auto& t : mesh.triangles) {
    for (std::size_t i = 0; i < 3; ++i) {
      const Vec3 a = X_SH * mesh.vertices[t[i]];
      const Vec3 b = X_SH * mesh.vertices[t[(i + 1) % 3]];
      if (std::abs(a.x()) < kRounding_m) points.emplace_back(a.y(), a.z());
      if (a.x() * b.x() >= 0.0) continue;
      const Vec3 p = a + (b - a) * (a.x() / (a.x() - b.x()));
      points.emplace_back(p.y(), p.z());
    }
  }
  return points;
}

/// Distance of a point in S from the stated section: front, rounding, floor.
double find_distance(const Site& site, const Eigen::Vector2d& p) {
  const double c = std::cos(site.incut);
  const double s = std::sin(site.incut);
  const double t = site.lip_radius_m * std::tan(0.25 * kPi + 0.5 * site.incut);
  // Front face: through the corner, down-slope = (s, -c) in S's (y, z); normal (-c, -s).
  const double along_front = p.x() * s - p.y() * c;
  const double off_front = p.x() * c + p.y() * s;
  double distance = std::numeric_limits<double>::infinity();
  if (p.x() > t - kRounding_m) distance = std::abs(p.y());
  if (along_front > t - kRounding_m) distance = std::min(distance, std::abs(off_front));
  if (std::isfinite(distance)) return distance;
  return std::abs((p - Eigen::Vector2d(t, -site.lip_radius_m)).norm() - site.lip_radius_m);
}

TEST(MakeMesh, FollowsTheStatedSectionAtEverySite) {
  RandomStream random(21);
  for (int i = 0; i < 350; ++i) {
    const Shape shape = draw_shape(random, kFamilies[static_cast<std::size_t>(i) % kFamilies.size()]);
    const Mesh mesh = make_solid(shape);
    for (const Site& site : make_hold(shape).sites) {
      if (site.name == "front") continue;  // a face for smears, without a lip
      // The neighbourhood of the lip that belongs to it alone: not behind the back face, not the far side.
      const double out_m = site.depth_m * std::cos(site.incut);
      const double back_z = shape.protrusion_m - out_m;
      const double reach_m = std::max(find_rounding_length(shape), kLeastWall_m);
      int on_lip = 0;
      for (const Eigen::Vector2d& p : cut(mesh, site.X_HS)) {
        const Vec3 p_HP = site.X_HS * Vec3(0.0, p.x(), p.y());
        const bool is_behind = p_HP.z() < back_z + 1e-9;
        const bool is_on_roof = site.mouth_m > 0.0 && p.y() > 0.5 * site.mouth_m;
        const double below_m = p.x() * std::sin(site.incut) - p.y() * std::cos(site.incut);
        if (is_behind || is_on_roof || below_m > reach_m) continue;
        ++on_lip;
        EXPECT_LT(find_distance(site, p), kOffSection_m)
            << describe(shape) << " at " << site.name << " y " << p.x() << " z " << p.y();
      }
      EXPECT_GE(on_lip, 1) << describe(shape) << " at " << site.name;
    }
  }
}

TEST(MakeMesh, FloorEndsAtTheStatedDepth) {
  RandomStream random(22);
  for (int i = 0; i < 350; ++i) {
    const Shape shape = draw_shape(random, kFamilies[static_cast<std::size_t>(i) % kFamilies.size()]);
    const Site site = make_hold(shape).sites.at(0);
    if (find_rounding_length(shape) >= shape.depth_m) continue;  // all floor is rounding
    const std::vector<Eigen::Vector2d> points = cut(make_solid(shape), site.X_HS);
    const bool is_there = std::any_of(points.begin(), points.end(), [&](const Eigen::Vector2d& p) {
      return (p - Eigen::Vector2d(site.depth_m, 0.0)).norm() < 1.1 * kPanelReach_m;
    });
    EXPECT_TRUE(is_there) << describe(shape);
  }
}

TEST(MakeMesh, ARidgeRisesBehindAFloorThatEndsInTheBody) {
  const Shape made = edge(20);
  const Hold hold = make_hold(made);
  const Mesh mesh = make_mesh(made);
  // The floor lies 12 mm below the body's top, and the back face stands 20 mm behind the lip.
  EXPECT_NEAR(hold.sites[0].X_HS.p.y(), 0.008, kRounding_m);
  const auto has = [&](const Vec3& wanted) {
    return std::any_of(mesh.vertices.begin(), mesh.vertices.end(),
                       [&](const Vec3& p) { return (p - wanted).norm() < kRounding_m; });
  };
  EXPECT_TRUE(has(Vec3(0.06, 0.008, 0.005)));
  EXPECT_TRUE(has(Vec3(0.06, 0.020, 0.005)));
}

TEST(MakeMesh, RoundSlopersHaveARoundOutline) {
  Shape dome = shape(Family::kSloper, 200, 200, 100, 90, -38, 60);
  for (const Vec3& p : make_mesh(dome).vertices) {
    EXPECT_LE(std::hypot(p.x(), p.y()), 0.1 + kRounding_m);
  }
  EXPECT_NEAR(find_lip_drop(dome), 0.09 * std::sin(rad_from_deg(38)) + kFingerRise_m, kRounding_m);
}

TEST(MakeMesh, AMouthHasTheStatedHeightAndWidth) {
  const Shape slot = pocket();
  const Pose X_SH = make_hold(slot).sites.at(0).X_HS.inverse();
  double roof_m = 0.0;
  double half_width_m = 0.0;
  for (const Vec3& p_H : make_solid(slot).vertices) {
    // The mouth's own corners lie within the block's outline.
    if (std::abs(p_H.y()) > 0.49 * slot.height_m) continue;
    roof_m = std::max(roof_m, (X_SH * p_H).z());
    half_width_m = std::max(half_width_m, std::abs(p_H.x()));
  }
  EXPECT_NEAR(roof_m, slot.mouth_m, kRounding_m);
  EXPECT_NEAR(half_width_m, 0.5 * slot.width_m, kRounding_m);
}

TEST(MakeMesh, IsTheSameEachTime) {
  for (const Shape& shape : all_families()) {
    const Mesh a = make_mesh(shape);
    const Mesh b = make_mesh(shape);
    EXPECT_EQ(a.triangles, b.triangles);
    EXPECT_TRUE(std::equal(a.vertices.begin(), a.vertices.end(), b.vertices.begin(), b.vertices.end()));
  }
}

}  // namespace
}  // namespace steepwright::hold
