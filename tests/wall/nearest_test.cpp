/// The signed distance is checked in three ways: closed forms; finite differences; and by the two properties that
/// together make a distance exact: it changes no faster than the point moves (so it never overstates), and the foot
/// point p - d grad lies on the surface (so it never understates).

#include "engine/core/random.h"
#include "engine/wall/wall.h"
#include "tests/support/malloc_guard.h"
#include "tests/support/matchers.h"
#include "tests/wall/walls.h"

#include <cmath>

namespace steepwright::wall {
namespace {

using steepwright::tests::is_near;
using tests::mixed_wall;
using tests::steep_wall;
using tests::strip;
using tests::vertical_wall;

constexpr int kDrawCount = 100000;
constexpr double kExact_m = 1e-12;

Vec3 draw_point(RandomStream& random) {
  return {random.uniform(-1.0, 4.6), random.uniform(-4.0, 1.5), random.uniform(-0.3, 4.0)};
}

/// Behind the strips of a stack, from the definition alone: on the +y side of the face at this height, below the
/// level top. Independent of the outline that find_nearest uses. Valid for points that are not over the upper edge.
bool is_behind_strips(const Wall& wall, const Section& section, const Vec3& p_WQ) {
  for (int index : section.strips) {
    const Strip& s = wall.strips[static_cast<std::size_t>(index)];
    const double up_m = (p_WQ.z() - s.X_WP.p.z()) / std::cos(s.angle);
    if (up_m < 0.0 || up_m > s.length_m) continue;
    return p_WQ.y() > (s.X_WP * Vec3(0.0, up_m, 0.0)).y();
  }
  return false;
}

TEST(Nearest, IsTheDepthInFrontOfAVerticalWall) {
  const Wall wall = vertical_wall();
  const Nearest nearest = find_nearest(wall, Vec3(1.5, -0.4, 2.0));
  EXPECT_NEAR(nearest.distance_m, 0.4, kExact_m);
  EXPECT_TRUE(is_near(nearest.gradient, Vec3(0, -1, 0), kExact_m));
  EXPECT_EQ(nearest.kind, Nearest::Kind::kStrip);
  EXPECT_EQ(nearest.strip, 0);
  EXPECT_NEAR(find_nearest(wall, Vec3(1.5, 0.2, 2.0)).distance_m, -0.2, kExact_m) << "negative inside";
}

TEST(Nearest, IsTheNormalDistanceToAnOverhangingPanel) {
  const Wall wall = make_wall("", {{strip("p", 40.0, 4.0, 4.0)}}, std::nullopt);
  const Strip& panel = wall.strips[0];
  for (double out_m : {-0.3, -0.01, 0.0, 0.02, 0.5}) {
    const Nearest nearest = find_nearest(wall, panel.X_WP * Vec3(2.0, 2.5, out_m));
    EXPECT_NEAR(nearest.distance_m, out_m, kExact_m);
    EXPECT_TRUE(is_near(nearest.gradient, panel.X_WP.R.col(2), 1e-9)) << "outward normal, " << out_m << " m out";
  }
}

TEST(Nearest, RoundsTheUpperEdgeAndTheFreeCorner) {
  const Wall wall = vertical_wall();
  // A vertical panel's upper edge is the line y = 0, z = 4; its free ends are at x = 0 and x = 3.
  EXPECT_NEAR(find_nearest(wall, Vec3(1.5, -0.3, 4.4)).distance_m, std::hypot(0.3, 0.4), kExact_m);
  EXPECT_NEAR(find_nearest(wall, Vec3(-0.3, -0.4, 2.0)).distance_m, std::hypot(0.3, 0.4), kExact_m);
  const Nearest corner = find_nearest(wall, Vec3(-0.1, -0.2, 4.2));
  EXPECT_NEAR(corner.distance_m, 0.3, kExact_m) << "corner point: |(0.1, 0.2, 0.2)|";
  EXPECT_TRUE(is_near(corner.gradient, Vec3(-1, -2, 2) / 3.0, kExact_m));
}

TEST(Nearest, SeesTheSideOfAFreePanel) {
  const Nearest nearest = find_nearest(vertical_wall(), Vec3(3.25, 0.5, 2.0));
  EXPECT_NEAR(nearest.distance_m, 0.25, kExact_m);
  EXPECT_EQ(nearest.kind, Nearest::Kind::kSide);
  EXPECT_TRUE(is_near(nearest.gradient, Vec3(1, 0, 0), 0.0));
}

TEST(Nearest, IsTheFloorWhenTheFootIsLow) {
  const Nearest nearest = find_nearest(vertical_wall(), Vec3(1.5, -1.0, 0.1));
  EXPECT_NEAR(nearest.distance_m, 0.1, kExact_m);
  EXPECT_EQ(nearest.kind, Nearest::Kind::kFloor);
  EXPECT_NEAR(find_nearest(vertical_wall(), Vec3(1.5, -1.0, -0.05)).distance_m, -0.05, kExact_m);
}

TEST(Nearest, IsTheCeilingOrARoomWall) {
  const Wall wall = mixed_wall(Room{Vec3(-1, -5, 0), Vec3(5, 3, 4)});
  EXPECT_NEAR(find_nearest(wall, Vec3(2.0, -3.0, 3.8)).distance_m, 0.2, kExact_m);
  EXPECT_EQ(find_nearest(wall, Vec3(2.0, -3.0, 3.8)).kind, Nearest::Kind::kRoom);
  EXPECT_NEAR(find_nearest(wall, Vec3(2.0, -5.1, 2.0)).distance_m, -0.1, kExact_m) << "beyond the room's wall";
}

TEST(Nearest, BelowALevelRoofIsTheHeightToIt) {
  // Panel of 2 m, then a level roof of 1.5 m at z = 2 m.
  const Wall wall = make_wall("", {{strip("face", 0.0, 2.0, 2.0), strip("roof", 90.0, 2.0, 1.5)}}, std::nullopt);
  const Nearest below = find_nearest(wall, Vec3(1.0, -0.9, 1.6));
  EXPECT_NEAR(below.distance_m, 0.4, kExact_m);
  EXPECT_TRUE(is_near(below.gradient, Vec3(0, 0, -1), kExact_m));
  // The roof is as thick as its plywood and frame, so the lip is a real edge; above it is air.
  const double top_m = 2.0 + 0.018 + kFrameDepth_m;
  EXPECT_NEAR(find_nearest(wall, Vec3(1.0, -0.9, top_m + 0.3)).distance_m, 0.3, 1e-9);
  EXPECT_NEAR(find_nearest(wall, Vec3(1.0, -1.5 - 0.2, 2.1)).distance_m, 0.2, 1e-9) << "in front of the lip";
  EXPECT_NEAR(find_nearest(wall, Vec3(1.0, -1.4, 2.1)).distance_m, -0.1, 1e-9) << "inside the roof";
}

TEST(Nearest, KnowsItsStripInEveryPartOfAStack) {
  const Wall wall = steep_wall();
  for (std::size_t i = 0; i < wall.strips.size(); ++i) {
    const Vec3 p_WQ = wall.strips[i].X_WP * Vec3(1.5, 0.5 * wall.strips[i].length_m, 0.01);
    const Nearest nearest = find_nearest(wall, p_WQ);
    EXPECT_EQ(nearest.strip, static_cast<int>(i));
    EXPECT_NEAR(nearest.distance_m, 0.01, kExact_m);
  }
}

TEST(Nearest, IsNegativeExactlyBehindTheStrips) {
  const Wall wall = mixed_wall();
  RandomStream random(11);
  int inside_count = 0;
  for (int i = 0; i < kDrawCount; ++i) {
    const Vec3 p_WQ(random.uniform(0.0, 3.6), random.uniform(-3.5, 1.0), random.uniform(0.01, 2.4));
    const std::size_t section = p_WQ.x() < 1.2 ? 0 : p_WQ.x() < 2.2 ? 1 : 2;
    // Below the lower corner of each section's upper edge.
    if (section == 2 && p_WQ.z() > 2.2) continue;
    const double distance_m = find_nearest(wall, p_WQ).distance_m;
    if (std::abs(distance_m) < 1e-9) continue;
    const bool is_inside = is_behind_strips(wall, wall.sections[section], p_WQ);
    inside_count += is_inside ? 1 : 0;
    ASSERT_EQ(distance_m < 0.0, is_inside) << p_WQ.transpose();
  }
  EXPECT_GT(inside_count, kDrawCount / 10);
}

TEST(Nearest, NeverOverstatesTheDistance) {
  // |d(a) - d(b)| <= |a - b| for near and far pairs.
  for (const Wall& wall : {steep_wall(), mixed_wall(), mixed_wall(Room{Vec3(-1, -4.5, 0), Vec3(5, 3, 4)})}) {
    RandomStream random(12);
    double worst_m = -1.0;
    for (int i = 0; i < kDrawCount; ++i) {
      const Vec3 a = draw_point(random);
      const double step_m = std::pow(10.0, random.uniform(-3.0, 0.0));
      const Vec3 b = a + step_m * Vec3(random.symmetric(1.0), random.symmetric(1.0), random.symmetric(1.0));
      const double change_m = std::abs(find_nearest(wall, a).distance_m - find_nearest(wall, b).distance_m);
      worst_m = std::max(worst_m, change_m - (a - b).norm());
    }
    EXPECT_LE(worst_m, 1e-12);
  }
}

TEST(Nearest, FootPointLiesOnTheSurface) {
  for (const Wall& wall : {steep_wall(), mixed_wall()}) {
    RandomStream random(13);
    double worst_m = 0.0;
    for (int i = 0; i < kDrawCount; ++i) {
      Vec3 p_WQ = draw_point(random);
      // Below the floor and behind the face at once, only the sign is promised.
      p_WQ.z() = std::abs(p_WQ.z());
      const Nearest nearest = find_nearest(wall, p_WQ);
      const double at_foot_m = find_nearest(wall, p_WQ - nearest.distance_m * nearest.gradient).distance_m;
      worst_m = std::max(worst_m, std::abs(at_foot_m));
    }
    EXPECT_LE(worst_m, 1e-11);
  }
}

TEST(Nearest, GradientIsUnitAndMatchesDifferences) {
  constexpr double kStep_m = 1e-6;
  // Central differences of a curved distance err by step^2 / distance^2 and by rounding / step = 1e-10.
  constexpr double kTolerance = 1e-6;
  const Wall wall = mixed_wall(Room{Vec3(-1.5, -5, 0), Vec3(5, 3, 4.5)});
  RandomStream random(14);
  int compared_count = 0;
  for (int i = 0; i < kDrawCount; ++i) {
    const Vec3 p_WQ = draw_point(random);
    const Nearest nearest = find_nearest(wall, p_WQ);
    ASSERT_NEAR(nearest.gradient.norm(), 1.0, 1e-12);
    if (std::abs(nearest.distance_m) < 1e-3) continue;
    Vec3 differences;
    bool is_smooth = true;  // no medial axis crossed: all neighbours see the same feature
    for (int axis = 0; axis < 3; ++axis) {
      const Vec3 step = kStep_m * Vec3::Unit(axis);
      const Nearest ahead = find_nearest(wall, p_WQ + step);
      const Nearest behind = find_nearest(wall, p_WQ - step);
      is_smooth &= (ahead.gradient - behind.gradient).norm() < 0.01;
      differences(axis) = (ahead.distance_m - behind.distance_m) / (2.0 * kStep_m);
    }
    if (!is_smooth) continue;
    ++compared_count;
    ASSERT_TRUE(is_near(nearest.gradient, differences, kTolerance)) << p_WQ.transpose();
  }
  EXPECT_GT(compared_count, kDrawCount * 98 / 100);
}

TEST(Nearest, DoesNotPushOutThroughTheSeamOfEqualSections) {
  // Two equal panels side by side: one millimetre beside the seam, 100 mm deep, the way out is through the face.
  const Wall wall = make_wall("", {{strip("a", 30.0, 1.0, 3.0)}, {strip("b", 30.0, 1.0, 3.0)}}, std::nullopt);
  for (double x : {0.999, 1.0, 1.001}) {
    const Nearest nearest = find_nearest(wall, wall.strips[0].X_WP * Vec3(x, 1.5, -0.1));
    EXPECT_NEAR(nearest.distance_m, -0.1, kExact_m);
    EXPECT_TRUE(is_near(nearest.gradient, wall.strips[0].X_WP.R.col(2), 1e-9));
  }
}

TEST(Nearest, DoesNotAllocate) {
  const Wall wall = mixed_wall(Room{Vec3(-1, -5, 0), Vec3(5, 3, 4)});
  RandomStream random(15);
  const std::size_t before = steepwright::tests::allocation_count();
  double sum_m = 0.0;
  for (int i = 0; i < 1000; ++i) sum_m += find_nearest(wall, draw_point(random)).distance_m;
  EXPECT_EQ(steepwright::tests::allocation_count(), before);
  EXPECT_TRUE(std::isfinite(sum_m));
}

}  // namespace
}  // namespace steepwright::wall
