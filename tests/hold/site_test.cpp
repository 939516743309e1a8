/// Where the sites of a hold lie and how their floors are turned.

#include "engine/hold/hold.h"
#include "engine/hold/outline.h"
#include "tests/hold/shapes.h"
#include "tests/support/matchers.h"

#include <cmath>

namespace steepwright::hold {
namespace {

using steepwright::tests::is_near;
using namespace tests;

constexpr double kRounding = 1e-12;

TEST(Site, FramesAreRightHandedAndOrthonormal) {
  for (const Shape& shape : all_families()) {
    for (const Site& site : make_hold(shape).sites) {
      const Mat3& R_HS = site.X_HS.R;
      EXPECT_TRUE(is_near(R_HS * R_HS.transpose(), Mat3::Identity(), kRounding)) << site.name;
      EXPECT_NEAR(R_HS.determinant(), 1.0, kRounding) << site.name;
    }
  }
}

TEST(Site, FloorNormalLeansIntoTheWallByTheIncut) {
  for (double incut_deg : {-15.0, 0.0, 10.0, 45.0}) {
    const Hold hold = make_hold(edge(20, incut_deg));
    const double a = rad_from_deg(incut_deg);
    const Mat3& R_HS = hold.sites[0].X_HS.R;
    EXPECT_TRUE(is_near(R_HS.col(2), Vec3(0, std::cos(a), -std::sin(a)), kRounding)) << "z out of the panel";
    EXPECT_TRUE(is_near(R_HS.col(0), Vec3(1, 0, 0), kRounding)) << "along the lip, to the right";
    EXPECT_LT(R_HS.col(1).z(), 0.0) << "the floor runs from the lip towards the wall";
  }
}

TEST(Site, FlanksOfAPinchFaceLeftAndRight) {
  Shape shape = pinch();
  shape.incut = rad_from_deg(10.0);
  const Hold hold = make_hold(shape);
  const double c = std::cos(shape.incut);
  const double s = std::sin(shape.incut);
  const Site* left = hold.find_site("left flank");
  const Site* right = hold.find_site("right flank");
  ASSERT_NE(left, nullptr);
  ASSERT_NE(right, nullptr);
  EXPECT_TRUE(is_near(left->X_HS.R.col(2), Vec3(-c, 0, -s), kRounding));
  EXPECT_TRUE(is_near(right->X_HS.R.col(2), Vec3(c, 0, -s), kRounding));
  EXPECT_TRUE(is_near(right->X_HS.R.col(1), Vec3(-s, 0, -c), kRounding)) << "from the lip towards the wall";
  // Half of 70 mm, less what the 12 mm face behind the floor stands out beyond the lip; 70 mm out.
  const double x = 0.035 - (0.012 - shape.depth_m * s);
  EXPECT_TRUE(is_near(left->X_HS.p, Vec3(-x, 0, 0.070), kRounding));
  EXPECT_TRUE(is_near(right->X_HS.p, Vec3(x, 0, 0.070), kRounding));
  EXPECT_DOUBLE_EQ(right->width_m, shape.height_m) << "the lip line runs along the height";
}

TEST(Site, LipOfAnEdgeDownToThePanelIsTheTopOfTheBody) {
  Shape shape = edge(20);
  shape.protrusion_m = 0.020;
  const Site lip = make_hold(shape).sites.at(0);
  EXPECT_EQ(lip.name, "lip");
  EXPECT_TRUE(is_near(lip.X_HS.p, Vec3(0, 0.020, 0.020), kRounding)) << "half of 40 mm up, 20 mm out";
}

TEST(Site, LipLiesBelowTheFaceBehindAFloorThatEndsInTheBody) {
  const Site lip = make_hold(edge(20)).sites.at(0);
  EXPECT_TRUE(is_near(lip.X_HS.p, Vec3(0, 0.008, 0.025), kRounding)) << "12 mm below the top of 40 mm, 25 mm out";
  EXPECT_DOUBLE_EQ(lip.depth_m, 0.020);
  // 45 mm at 20 deg drop 15.4 mm: that is face enough, the lip stays on top.
  EXPECT_NEAR(make_hold(jug()).sites.at(0).X_HS.p.y(), 0.040, kRounding);
}

TEST(Site, ThumbFaceIsJudgedByTheSpanBetweenTheLips) {
  // Lips lie 12 mm within the body on either side.
  EXPECT_TRUE(make_hold(pinch(150)).sites.at(0).has_thumb_face);
  EXPECT_FALSE(make_hold(pinch(156)).sites.at(0).has_thumb_face);
}

TEST(Site, FloorsEndWithinTheBodyAndInFrontOfThePanel) {
  for (const Shape& shape : all_families()) {
    for (const Site& site : make_hold(shape).sites) {
      const Vec3 p_HE = site.X_HS * Vec3(0.0, site.depth_m, 0.0);
      if (site.name == "front") continue;  // a face for smears: its depth is no floor
      EXPECT_GE(p_HE.z(), -1e-9) << site.name << " of a " << name_of(shape.family);
      EXPECT_LE(std::abs(p_HE.y()), 0.5 * shape.height_m + 1e-9) << site.name << " of a " << name_of(shape.family);
    }
  }
}

TEST(Site, SloperRisesFromItsLipTowardsTheTopOfTheBody) {
  const Shape shape = sloper();
  const Site top = make_hold(shape).sites.at(0);
  EXPECT_EQ(top.name, "top");
  // 12 mm of face rise behind the floor, up to the body's top.
  EXPECT_NEAR((top.X_HS * Vec3(0, shape.depth_m, 0)).y(), 0.5 * shape.height_m - 0.012, kRounding);
  EXPECT_GT(top.X_HS.R.col(2).z(), 0.0) << "its normal leans out of the wall";
}

TEST(Site, PanelIsSmearedAlongItsOwnNormal) {
  const Site panel = make_panel_site();
  EXPECT_EQ(panel.use, Site::Use::kFoot);
  EXPECT_TRUE(is_near(panel.X_HS.R, Mat3::Identity(), kRounding));
  EXPECT_TRUE(panel.grips.empty());
}

TEST(Site, UseSuitsTheFamily) {
  const auto use_of = [](const Shape& shape, const std::string& site) { return make_hold(shape).find_site(site)->use; };
  EXPECT_EQ(use_of(edge(), "lip"), Site::Use::kBoth);
  EXPECT_EQ(use_of(jug(), "lip"), Site::Use::kBoth);
  EXPECT_EQ(use_of(foot_chip(), "top"), Site::Use::kFoot);
  EXPECT_EQ(use_of(pinch(), "right flank"), Site::Use::kHand);
  EXPECT_EQ(use_of(pinch(), "top"), Site::Use::kFoot);
  EXPECT_EQ(use_of(volume(), "front"), Site::Use::kFoot);
  Shape slot = pocket();
  EXPECT_EQ(use_of(slot, "mouth"), Site::Use::kBoth) << "42 x 22 mm takes a toe";
  slot.mouth_m = 0.018;
  EXPECT_EQ(use_of(slot, "mouth"), Site::Use::kHand) << "18 mm high does not";
}

TEST(Hold, FindsItsSitesByName) {
  const Hold hold = make_hold(volume());
  ASSERT_EQ(hold.sites.size(), 4U);
  EXPECT_NE(hold.find_site("left side"), nullptr);
  EXPECT_EQ(hold.find_site("lip"), nullptr);
}

TEST(Outline, FallsAlongTheFrontFaceOfASlopingFloorAsItsNormalSays) {
  Site site;
  site.depth_m = 0.030;
  site.incut = rad_from_deg(-10.0);
  site.lip_radius_m = 0.005;
  const Outline outline = make_outline(site);
  ASSERT_LT(outline.outermost, outline.front_end);
  constexpr double kStep_m = 1e-6;
  for (const double share : {0.1, 0.5, 0.9}) {
    const double y = outline.outermost + share * (outline.front_end - outline.outermost);
    const OutlinePoint point = outline.find_point(y);
    const double slope = (outline.find_point(y + kStep_m).z - point.z) / kStep_m;
    EXPECT_NEAR(slope, -point.normal.x() / point.normal.y(), 1e-6) << share;
  }
  EXPECT_NEAR(outline.find_point(outline.front_end).z - outline.find_point(outline.outermost).z, 0.060, 1e-6);
}

}  // namespace
}  // namespace steepwright::hold
