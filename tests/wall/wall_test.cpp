#include "engine/wall/wall.h"

#include "tests/support/matchers.h"
#include "tests/wall/walls.h"

#include <cmath>

namespace steepwright::wall {
namespace {

using steepwright::tests::is_near;
using tests::mixed_wall;
using tests::steep_wall;
using tests::strip;

constexpr double kRounding_m = 1e-14;

TEST(Strip, LooksAtTheClimberAndDownWhenItOverhangs) {
  for (double angle_deg : {-20.0, 0.0, 10.0, 35.0, 60.0, 90.0}) {
    const Wall wall = make_wall("", {{strip("p", angle_deg, 1.0, 2.0)}}, std::nullopt);
    const double theta = rad_from_deg(angle_deg);
    const Mat3& R_WP = wall.strips[0].X_WP.R;
    EXPECT_TRUE(is_near(R_WP.col(0), Vec3(1, 0, 0), 0.0));
    EXPECT_TRUE(is_near(R_WP.col(1), Vec3(0, -std::sin(theta), std::cos(theta)), kRounding_m));
    EXPECT_TRUE(is_near(R_WP.col(2), Vec3(0, -std::cos(theta), -std::sin(theta)), kRounding_m));
    EXPECT_NEAR(R_WP.determinant(), 1.0, kRounding_m) << "right-handed at " << angle_deg << " deg";
  }
}

TEST(Strip, RisesAndRunsByCosineAndSine) {
  // 3.66 m at 40 deg: rise 2.80 m, run 2.35 m (plain trigonometry).
  const Wall wall = make_wall("", {{strip("p", 40.0, 1.0, 3.66)}}, std::nullopt);
  const Vec3 top = wall.strips[0].X_WP * Vec3(0.0, 3.66, 0.0);
  EXPECT_NEAR(top.z(), 2.80, 0.005);
  EXPECT_NEAR(-top.y(), 2.35, 0.005);
}

TEST(MakeWall, StartsAtTheOriginAndStacksStripsEdgeToEdge) {
  const Wall wall = steep_wall();
  EXPECT_TRUE(is_near(wall.strips[0].X_WP.p, Vec3(0, 0, 0), 0.0));
  for (std::size_t i = 0; i + 1 < wall.strips.size(); ++i) {
    const Strip& below = wall.strips[i];
    EXPECT_TRUE(is_near(wall.strips[i + 1].X_WP.p, below.X_WP * Vec3(0, below.length_m, 0), kRounding_m));
  }
}

TEST(MakeWall, SetsSectionsSideBySide) {
  const Wall wall = mixed_wall();
  ASSERT_EQ(wall.sections.size(), 3U);
  EXPECT_DOUBLE_EQ(wall.sections[1].x0_m, 1.2);
  EXPECT_DOUBLE_EQ(wall.sections[2].x0_m, 2.2);
  const int index = wall.find_strip("top-out");
  ASSERT_GE(index, 0);
  EXPECT_EQ(wall.strips[static_cast<std::size_t>(index)].section, 2);
  EXPECT_DOUBLE_EQ(wall.strips[static_cast<std::size_t>(index)].X_WP.p.x(), 2.2);
  EXPECT_EQ(wall.find_strip("no such strip"), -1);
}

TEST(PoseOnStrip, TurnsCounterClockwiseAsTheClimberSeesIt) {
  const Wall wall = steep_wall();
  const Strip& panel = wall.strips[1];
  const Pose X_WH = find_pose_on_strip(panel, 0.7, 1.1, rad_from_deg(90.0));
  EXPECT_TRUE(is_near(X_WH.p, panel.X_WP * Vec3(0.7, 1.1, 0.0), kRounding_m));
  // A quarter turn: what pointed right points up-slope, what pointed up-slope points left.
  EXPECT_TRUE(is_near(X_WH.R.col(0), panel.X_WP.R.col(1), kRounding_m));
  EXPECT_TRUE(is_near(X_WH.R.col(1), -panel.X_WP.R.col(0), kRounding_m));
  EXPECT_TRUE(is_near(X_WH.R.col(2), panel.X_WP.R.col(2), kRounding_m));
}

TEST(Overrun, IsTheWorstEdge) {
  const Strip panel = strip("p", 20.0, 2.0, 3.0);
  EXPECT_NEAR(find_overrun(panel, 1.0, 1.0, 0.0, 0.2, 0.1), -0.9, 1e-12) << "0.9 m to spare on both sides";
  EXPECT_NEAR(find_overrun(panel, 0.05, 1.0, 0.0, 0.2, 0.1), 0.05, 1e-12) << "sticks out 50 mm on the left";
  EXPECT_NEAR(find_overrun(panel, 1.0, 2.99, 0.0, 0.2, 0.1), 0.04, 1e-12) << "sticks out 40 mm at the top";
  // Turned by a quarter, width and height change places.
  EXPECT_NEAR(find_overrun(panel, 1.0, 2.99, rad_from_deg(90.0), 0.2, 0.1), 0.09, 1e-12);
}

TEST(Describe, UsesTheWordsOfTheTrade) {
  const Wall wall = mixed_wall(Room{Vec3(-1, -5, 0), Vec3(5, 3, 4)});
  const auto at = [&](double x, double y, double z) { return describe(wall, find_nearest(wall, Vec3(x, y, z))); };
  EXPECT_EQ(at(0.6, -0.01, 0.15), "kicker 'kicker left'");
  EXPECT_EQ(at(0.6, -0.72, 1.0), "panel 'main left' (35°)");
  EXPECT_EQ(at(0.6, -2.0, 2.2), "roof 'lid left' (80°)");
  EXPECT_EQ(at(2.9, -1.3, 1.8), "slab 'top-out' (-10°)");
  EXPECT_EQ(at(2.0, -3.0, 0.1), "floor");
  EXPECT_EQ(at(2.0, -3.0, 3.9), "ceiling");
  EXPECT_EQ(at(-0.9, -3.0, 2.0), "left room wall");
  EXPECT_EQ(at(4.9, -3.0, 2.0), "right room wall");
  EXPECT_EQ(at(2.0, -4.9, 2.0), "room wall behind the climber");
  EXPECT_EQ(at(1.3, -1.0, 2.0), "right side of panel 'main left' (35°)");
  EXPECT_EQ(describe(steep_wall(), find_nearest(steep_wall(), Vec3(1.0, -0.01, 0.2))), "kicker");
}

}  // namespace
}  // namespace steepwright::wall
