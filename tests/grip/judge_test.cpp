#include "engine/grip/judge.h"

#include "tests/grip/hands.h"

#include <gtest/gtest.h>

#include <algorithm>

namespace steepwright::grip {
namespace {

using namespace tests;

const GripVerdict& verdict_of(const GripJudgement& judgement, Grip grip) {
  return *std::find_if(judgement.grips.begin(), judgement.grips.end(),
                       [grip](const GripVerdict& verdict) { return verdict.grip == grip; });
}

TEST(Judge, TellsWhichFingersTheMouthLetsIn) {
  CapacityCache hands(advanced_hand());
  hold::Site site = pocket(25.0, 5.0, 4.0);
  // Thickness less the give of 2 mm: middle 10.8, index 10.5, ring 9.9 mm at this hand.
  site.mouth_m = 0.0102;
  EXPECT_EQ(verdict_of(judge_grips(site, 0.0, hands), Grip::kThreeFingerOpen).reason,
            "mouth 10.2 mm: ring fits, index and middle do not");
  site.mouth_m = 0.009;
  EXPECT_NE(verdict_of(judge_grips(site, 0.0, hands), Grip::kThreeFingerOpen).reason.find("no finger fits"),
            std::string::npos);
}

TEST(Judge, AsksForRoomSideBySide) {
  CapacityCache hands(advanced_hand());
  hold::Site site = pocket(25.0, 5.0, 4.0);
  site.width_m = 0.045;
  EXPECT_EQ(verdict_of(judge_grips(site, 0.0, hands), Grip::kThreeFingerOpen).reason,
            "width 45 mm: these 3 fingers need 49.1 mm");
}

TEST(Judge, GivesEveryGripOnceWithForceOrReason) {
  CapacityCache hands(advanced_hand());
  for (const hold::Site& site : {lip(8.0), lip(20.0), lip(45.0, -25.0, 30.0), pocket(18.0, 6.0, 8.0)}) {
    const GripJudgement judgement = judge_grips(site, 0.0, hands);
    ASSERT_EQ(judgement.grips.size(), kGrips.size());
    for (const GripVerdict& verdict : judgement.grips) {
      EXPECT_EQ(verdict.is_possible, verdict.reason.empty()) << name_of(verdict.grip);
      if (!verdict.is_possible) continue;
      EXPECT_GT(std::max(verdict.down_N, verdict.outward_N), 10.0) << name_of(verdict.grip);
    }
    EXPECT_TRUE(
        std::is_sorted(judgement.grips.begin(), judgement.grips.end(),
                       [](const GripVerdict& a, const GripVerdict& b) { return a.is_possible > b.is_possible; }));
  }
}

TEST(Judge, NamesTheForcedGripWithItsLead) {
  CapacityCache hands(advanced_hand());
  // A two-finger pocket leaves the open hand on two fingers alone.
  hold::Site mono = pocket(20.0, 5.0, 3.0);
  mono.fingers = 2;
  mono.width_m = 0.04;
  for (const Grip grip : {Grip::kOpenHand, Grip::kThreeFingerOpen, Grip::kHalfCrimp, Grip::kThreeFingerHalfCrimp,
                          Grip::kFullCrimp, Grip::kPinch, Grip::kSloperPalm, Grip::kJug}) {
    mono.shut_grips.push_back({grip, "shut"});
  }
  const GripJudgement judgement = judge_grips(mono, 0.0, hands);
  ASSERT_TRUE(judgement.forced);
  EXPECT_EQ(*judgement.forced, Grip::kTwoFingerOpen);
  EXPECT_EQ(judgement.forced_reason, "no other grip is possible");
}

}  // namespace
}  // namespace steepwright::grip
