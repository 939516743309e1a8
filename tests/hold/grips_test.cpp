/// Which grips a shape allows, forces and shuts out.

#include "engine/hold/grips.h"

#include "tests/hold/shapes.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

namespace steepwright::hold {
namespace {

using namespace tests;
using ::testing::Contains;
using ::testing::ElementsAre;
using ::testing::IsEmpty;
using ::testing::Not;

std::string reason_against(const Site& site, Grip grip) {
  for (const ShutGrip& shut : site.shut_grips) {
    if (shut.grip == grip) return shut.reason;
  }
  return "";
}

TEST(Grips, AreEachEitherPossibleOrShutWithAReason) {
  for (const Shape& shape : all_families()) {
    for (const Site& site : make_hold(shape).sites) {
      EXPECT_EQ(site.grips.size() + site.shut_grips.size(), kGrips.size()) << site.name;
      for (Grip grip : kGrips) {
        EXPECT_NE(std::count(site.grips.begin(), site.grips.end(), grip) == 1, !reason_against(site, grip).empty())
            << name_of(grip) << " at the " << site.name << " of a " << name_of(shape.family);
      }
    }
  }
}

TEST(Grips, OfATwoFingerPocketLeaveTheThumbAndTwoFingersOut) {
  const Site mouth = make_hold(pocket(2, 42)).sites.at(0);
  EXPECT_THAT(mouth.grips, ElementsAre(Grip::kTwoFingerOpen));
  EXPECT_EQ(reason_against(mouth, Grip::kOpenHand), "2 fingers fit the mouth, open hand needs 4");
}

TEST(Grips, OfAFourFingerPocketShutFullCrimpAndPinchByItsWalls) {
  const Site mouth = make_hold(pocket(4, 90)).sites.at(0);
  EXPECT_EQ(reason_against(mouth, Grip::kFullCrimp), "the walls of the pocket keep the thumb off");
  EXPECT_EQ(reason_against(mouth, Grip::kPinch), "the walls of the pocket keep the thumb off");
  EXPECT_THAT(mouth.grips, Contains(Grip::kOpenHand));
}

TEST(Grips, OfANarrowEdgeTakeThreeFingers) {
  Shape narrow = edge();
  narrow.width_m = 0.060;  // 60 / 18 mm: three fingers
  const Site lip = make_hold(narrow).sites.at(0);
  EXPECT_EQ(find_finger_room(lip), 3);
  EXPECT_EQ(reason_against(lip, Grip::kHalfCrimp), "3 fingers fit the lip, half crimp needs 4");
  EXPECT_EQ(lip.grips.front(), Grip::kThreeFingerOpen);
}

TEST(Grips, StartWithTheBentHandOnThinEdgesAndTheOpenHandOnDeepOnes) {
  EXPECT_EQ(make_hold(edge(8)).sites.at(0).grips.front(), Grip::kHalfCrimp);
  EXPECT_EQ(make_hold(edge(18)).sites.at(0).grips.front(), Grip::kHalfCrimp);
  EXPECT_EQ(make_hold(edge(30)).sites.at(0).grips.front(), Grip::kOpenHand);
}

TEST(Grips, SuitTheFamily) {
  EXPECT_EQ(make_hold(jug()).sites.at(0).grips.front(), Grip::kJug);
  EXPECT_EQ(make_hold(sloper()).sites.at(0).grips.front(), Grip::kSloperPalm);
  EXPECT_EQ(make_hold(pinch()).sites.at(0).grips.front(), Grip::kPinch);
}

TEST(Grips, LeaveATinyEdgeToBentFingersOnly) {
  Shape tiny = edge(5);
  const Site lip = make_hold(tiny).sites.at(0);
  EXPECT_EQ(reason_against(lip, Grip::kOpenHand), "the floor is 5 mm deep, it needs 6 mm");
  EXPECT_THAT(lip.grips, ElementsAre(Grip::kHalfCrimp, Grip::kFullCrimp, Grip::kThreeFingerHalfCrimp));
}

TEST(Grips, DoNotCrimpASteepSlope) {
  const Site top = make_hold(sloper()).sites.at(0);
  EXPECT_EQ(reason_against(top, Grip::kHalfCrimp), "the floor slopes out by 30 deg, bent fingers need 25 deg or less");
}

TEST(Grips, PinchOnlyWhatTheThumbReachesAround) {
  EXPECT_THAT(make_hold(pinch(120)).sites.at(0).grips, Contains(Grip::kPinch));
  const Site wide = make_hold(pinch(160)).sites.at(0);
  EXPECT_THAT(wide.grips, Not(Contains(Grip::kPinch)));
  EXPECT_EQ(reason_against(wide, Grip::kPinch), "there is no opposite face for the thumb");
}

TEST(Grips, HookOverALipOnlyWithIncut) {
  EXPECT_THAT(make_hold(edge(40, 10)).sites.at(0).grips, Contains(Grip::kJug));
  EXPECT_EQ(reason_against(make_hold(edge(40, 5)).sites.at(0), Grip::kJug),
            "the floor is incut by 5 deg, hooking over the lip needs 8 deg");
}

TEST(Grips, AreNoneOnFootholds) {
  const Site top = make_hold(foot_chip()).sites.at(0);
  EXPECT_THAT(top.grips, IsEmpty());
  EXPECT_EQ(reason_against(top, Grip::kHalfCrimp), "the site is for feet only");
}

TEST(Sites, SuitAHandOnlyWithAGrip) {
  const Hold chip = make_hold(foot_chip());
  EXPECT_EQ(find_suited_site(chip, Limb::kLeftHand, ""), nullptr);
  EXPECT_EQ(find_suited_site(chip, Limb::kLeftFoot, ""), chip.sites.data());
  Hold shut = make_hold(edge());
  EXPECT_EQ(find_suited_site(shut, Limb::kRightHand, "lip"), shut.sites.data());
  EXPECT_EQ(find_suited_site(shut, Limb::kRightHand, "top"), nullptr);
  shut.sites[0].grips.clear();
  EXPECT_EQ(find_suited_site(shut, Limb::kRightHand, ""), nullptr);
}

}  // namespace
}  // namespace steepwright::hold
