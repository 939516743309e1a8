#include "engine/wall/wall.h"
#include "tests/wall/walls.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace steepwright::wall {
namespace {

using ::testing::HasSubstr;
using tests::mixed_wall;
using tests::steep_wall;
using tests::strip;

Findings check_one(const Strip& s) { return check_wall(make_wall("", {{s}}, std::nullopt)); }

TEST(CheckWall, PassesOrdinaryWalls) {
  EXPECT_TRUE(check_wall(steep_wall()).empty());
  EXPECT_TRUE(check_wall(mixed_wall(Room{Vec3(-1, -5, 0), Vec3(5, 3, 4)})).empty());
}

TEST(CheckWall, RejectsAnglesOutsideTheRangeAndNamesIt) {
  for (double angle_deg : {200.0, 91.0, -21.0, std::numeric_limits<double>::quiet_NaN()}) {
    const Findings findings = check_one(strip("p", angle_deg, 1.0, 2.0));
    ASSERT_EQ(findings.size(), 1U);
    EXPECT_EQ(findings[0].key, "p.angle_deg");
    EXPECT_EQ(findings[0].severity, Severity::kError);
    EXPECT_THAT(findings[0].message, HasSubstr("-20 to 90 deg"));
  }
  EXPECT_TRUE(check_one(strip("p", 90.0, 1.0, 2.0)).empty()) << "the ends are allowed";
  EXPECT_TRUE(check_one(strip("p", -20.0, 1.0, 2.0)).empty());
}

TEST(CheckWall, RejectsSizesOutsideTheRange) {
  EXPECT_EQ(check_one(strip("p", 0.0, 0.0, 2.0)).at(0).key, "p.width_mm");
  EXPECT_EQ(check_one(strip("p", 0.0, 1.0, -2.0)).at(0).key, "p.length_mm");
  EXPECT_EQ(check_one(strip("p", 0.0, 1.0, 40.0)).at(0).key, "p.length_mm");
  EXPECT_EQ(check_one(strip("p", 0.0, std::nan(""), 2.0)).at(0).key, "p.width_mm");
}

TEST(CheckWall, ReportsAllFaultsNotOnlyTheFirst) { EXPECT_EQ(check_one(strip("p", 120.0, -1.0, 0.0)).size(), 3U); }

TEST(CheckWall, RejectsUnequalWidthsInAStackAndRepeatedNames) {
  const Findings findings =
      check_wall(make_wall("", {{strip("p", 0.0, 1.0, 0.3), strip("p", 30.0, 1.2, 2.0)}}, std::nullopt));
  ASSERT_EQ(findings.size(), 2U);
  EXPECT_THAT(findings[0].message, HasSubstr("names two strips"));
  EXPECT_THAT(findings[1].message, HasSubstr("1200 mm differs from the 1000 mm"));
}

TEST(CheckWall, RejectsAWallWithoutStrips) {
  EXPECT_TRUE(has_errors(check_wall(make_wall("", {}, std::nullopt))));
  EXPECT_TRUE(has_errors(check_wall(make_wall("", {{strip("p", 0.0, 1.0, 2.0)}, {}}, std::nullopt))));
}

TEST(CheckWall, WarnsOfTeeNutColumnsOnJoistsByPosition) {
  Strip clashing = strip("p", 20.0, 1.22, 2.44);
  clashing.lattice = Lattice{};               // columns at 100, 300, ..., 1100 mm
  clashing.joists = Joists{0.4, 0.1, 0.045};  // joists at 100, 500, 900 mm
  const Findings findings = check_one(clashing);
  ASSERT_EQ(findings.size(), 1U);
  EXPECT_EQ(findings[0].severity, Severity::kWarning);
  EXPECT_THAT(findings[0].message, HasSubstr("100, 500, 900 mm"));

  clashing.joists->first_m = 0.0;  // joists at 0, 400, 800, 1200 mm: between the columns
  EXPECT_TRUE(check_one(clashing).empty());
  clashing.lattice->stagger_m = 0.1;  // odd rows at 200, 400, ..., 1200 mm
  EXPECT_THAT(check_one(clashing).at(0).message, HasSubstr("400, 800, 1200 mm"));
}

TEST(CheckWall, RejectsARoomThatTheWallDoesNotFitInto) {
  // 2.4 m at 35 deg after a 0.3 m kicker and 1.2 m at 80 deg: run 2.56 m, height 2.47 m.
  const Wall wall = make_wall("", {tests::steep_stack(3.0)}, Room{Vec3(0, -2.0, 0), Vec3(3.0, 1.0, 2.4)});
  const Findings findings = check_wall(wall);
  ASSERT_EQ(findings.size(), 2U);
  EXPECT_THAT(findings[0].message, HasSubstr("roof 'lid' (80°) stands 558 mm beyond the room wall behind the climber"));
  EXPECT_THAT(findings[1].message, HasSubstr("beyond the ceiling"));
}

TEST(CheckWall, WarnsOfATopEdgeAboveFourAndAHalfMetres) {
  const Findings findings = check_one(strip("p", 0.0, 1.0, 4.6));
  ASSERT_EQ(findings.size(), 1U);
  EXPECT_EQ(findings[0].severity, Severity::kWarning);
  EXPECT_THAT(findings[0].message, HasSubstr("4600 mm"));
}

}  // namespace
}  // namespace steepwright::wall
