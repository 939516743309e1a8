#include "engine/hold/hold.h"
#include "tests/hold/shapes.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>

namespace steepwright::hold {
namespace {

using namespace tests;
using ::testing::HasSubstr;

/// The only finding's key, or a list of them all.
std::string keys_of(const Findings& findings) {
  std::string keys;
  for (const Finding& finding : findings) keys += (keys.empty() ? "" : " ") + finding.key;
  return keys;
}

TEST(CheckShape, PassesOneOfEveryFamily) {
  for (const Shape& shape : all_families()) {
    EXPECT_EQ(keys_of(check_shape(shape)), "") << name_of(shape.family);
  }
}

TEST(CheckShape, NamesEachFaultyDimensionWithTheAllowedRange) {
  Shape shape = edge();
  shape.width_m = -0.1;
  shape.lip_radius_m = std::numeric_limits<double>::quiet_NaN();
  shape.incut = rad_from_deg(80.0);
  const Findings findings = check_shape(shape);
  EXPECT_EQ(keys_of(findings), "width_mm incut_deg lip_radius_mm");
  EXPECT_EQ(findings[0].message, "-100 mm is out of range for an edge; allowed is 20 to 1500 mm");
}

TEST(CheckShape, RejectsZeroDepthInEveryFamily) {
  for (Shape shape : all_families()) {
    shape.depth_m = 0.0;
    EXPECT_EQ(keys_of(check_shape(shape)), "depth_mm") << name_of(shape.family);
  }
}

TEST(CheckShape, RejectsAFloorDeeperThanTheHoldStandsOut) {
  Shape shape = edge(20);
  shape.protrusion_m = 0.015;
  EXPECT_EQ(keys_of(check_shape(shape)), "depth_mm");
  shape.protrusion_m = 0.020;  // a floor that ends at the panel itself
  EXPECT_EQ(keys_of(check_shape(shape)), "");
}

TEST(CheckShape, RejectsAFloorThatDropsThroughTheBody) {
  Shape shape = jug();
  shape.incut = rad_from_deg(50.0);
  shape.height_m = 0.030;  // 45 mm at 50 deg drop 34 mm
  EXPECT_EQ(keys_of(check_shape(shape)), "incut_deg");
}

TEST(CheckShape, RejectsABodyTooLowForItsFloorAndTheFaceBehind) {
  Shape shape = edge(20);
  shape.height_m = 0.013;
  EXPECT_EQ(keys_of(check_shape(shape)), "height_mm");
  shape.protrusion_m = 0.020;  // the panel is the face then
  EXPECT_EQ(keys_of(check_shape(shape)), "");
  EXPECT_EQ(keys_of(check_shape(pinch(26))), "width_mm");
}

TEST(CheckShape, RejectsARoundingThatTakesTheWholeFront) {
  Shape shape = edge(20);
  shape.protrusion_m = 0.020;
  shape.height_m = 0.020;
  shape.lip_radius_m = 0.019;  // 2 mm of front must be left
  ASSERT_EQ(keys_of(check_shape(shape)), "lip_radius_mm");
  EXPECT_THAT(check_shape(shape).at(0).message, HasSubstr("allowed is up to 18 mm"));
  shape.lip_radius_m = 0.018;
  EXPECT_EQ(keys_of(check_shape(shape)), "");
}

TEST(CheckShape, RejectsAMouthWhoseRoofBreaksThroughTheTop) {
  Shape shape = pocket();
  shape.mouth_m = 0.047;
  shape.height_m = 0.094;
  EXPECT_EQ(keys_of(check_shape(shape)), "height_mm");
}

TEST(CheckShape, RejectsAMouthOnWhatIsOpenAbove) {
  Shape shape = edge();
  shape.mouth_m = 0.02;
  EXPECT_EQ(keys_of(check_shape(shape)), "mouth_mm");
  EXPECT_THAT(check_shape(shape).at(0).message, HasSubstr("has no such dimension"));
}

TEST(CheckShape, RejectsAPocketTooNarrowForItsFingers) {
  EXPECT_EQ(keys_of(check_shape(pocket(3, 50))), "width_mm");
  EXPECT_EQ(keys_of(check_shape(pocket(3, 54))), "");
  EXPECT_EQ(keys_of(check_shape(pocket(1, 42))), "fingers");
}

}  // namespace
}  // namespace steepwright::hold
