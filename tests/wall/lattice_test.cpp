#include "engine/wall/wall.h"
#include "tests/support/matchers.h"
#include "tests/wall/walls.h"

namespace steepwright::wall {
namespace {

using steepwright::tests::is_near;
using tests::strip;

/// A 1.25 x 2.5 m sheet with the customary lattice: 200 mm square, first hole 100 mm from the edges (common practice).
Strip sheet() {
  Strip made = strip("sheet", 30.0, 1.25, 2.5);
  made.lattice = Lattice{};
  return made;
}

TEST(Lattice, FillsASheetRowByRow) {
  const auto points = make_lattice_points(sheet());
  // Columns at 100, 300, ..., 1100 mm: 6; rows at 100, ..., 2500 mm: 13.
  ASSERT_EQ(points.size(), 6U * 13U);
  EXPECT_TRUE(is_near(points[0], Eigen::Vector2d(0.1, 0.1), 1e-12));
  EXPECT_TRUE(is_near(points[1], Eigen::Vector2d(0.3, 0.1), 1e-12));
  EXPECT_TRUE(is_near(points[6], Eigen::Vector2d(0.1, 0.3), 1e-12));
  EXPECT_TRUE(is_near(points.back(), Eigen::Vector2d(1.1, 2.5), 1e-12));
}

TEST(Lattice, ShiftsEverySecondRowByTheStagger) {
  Strip staggered = sheet();
  staggered.lattice->stagger_m = 0.1;
  const auto points = make_lattice_points(staggered);
  EXPECT_TRUE(is_near(points[0], Eigen::Vector2d(0.1, 0.1), 1e-12));
  EXPECT_TRUE(is_near(points[6], Eigen::Vector2d(0.2, 0.3), 1e-12));
}

TEST(Lattice, IsEmptyWithoutOneOrWithNoPitch) {
  EXPECT_TRUE(make_lattice_points(strip("bare", 0.0, 1.0, 1.0)).empty());
  Strip broken = sheet();
  broken.lattice->pitch_up_m = 0.0;
  EXPECT_TRUE(make_lattice_points(broken).empty());
}

TEST(Lattice, FindsEveryPointAgainAndNothingBetween) {
  Strip staggered = sheet();
  staggered.lattice->stagger_m = 0.1;
  for (const Eigen::Vector2d& point : make_lattice_points(staggered)) {
    const auto found = find_lattice_point(staggered, point.x() + 0.0004, point.y() - 0.0003, 0.001);
    ASSERT_TRUE(found.has_value()) << point.transpose();
    EXPECT_TRUE(is_near(*found, point, 1e-12));
    EXPECT_FALSE(find_lattice_point(staggered, point.x() + 0.05, point.y(), 0.001).has_value());
  }
  EXPECT_FALSE(find_lattice_point(sheet(), 1.3, 0.1, 0.001).has_value()) << "beyond the sheet's edge";
}

TEST(Joists, BlockTheirWidthAndTheFlangeBeside) {
  Strip backed = sheet();
  backed.joists = Joists{0.4, 0.0, 0.045};
  EXPECT_TRUE(is_on_joist(backed, 0.4));
  EXPECT_TRUE(is_on_joist(backed, 0.4 + 0.034)) << "22.5 mm half joist + 12.5 mm flange = 35 mm";
  EXPECT_FALSE(is_on_joist(backed, 0.4 + 0.036));
  EXPECT_FALSE(is_on_joist(backed, 0.4 + 0.024, 0.0)) << "a bare bolt needs only the joist's own width";
  EXPECT_FALSE(is_on_joist(sheet(), 0.4)) << "no joists";
}

TEST(Joists, EndWithTheStrip) {
  Strip backed = sheet();
  backed.width_m = 1.0;
  backed.joists = Joists{0.4, 0.3, 0.045};  // 300, 700 mm; the next would be at 1100
  EXPECT_TRUE(is_on_joist(backed, 0.7));
  // The next would be at 1030 mm: its edge (1007.5 mm) lies beyond the strip, so it does not back this strip.
  backed.joists->first_m = 0.23;
  EXPECT_TRUE(is_on_joist(backed, 0.63));
  EXPECT_FALSE(is_on_joist(backed, 0.998));
}

}  // namespace
}  // namespace steepwright::wall
