#include "engine/grip/flush.h"

#include "engine/core/units.h"
#include "tests/grip/hands.h"

#include <gtest/gtest.h>

namespace steepwright::grip {
namespace {

using namespace tests;

TEST(FlushGap, IsMetByTheMiddlePitchesThatItFinds) {
  const Hand hand = advanced_hand();
  int n_found = 0;
  for (const double depth_mm : {18.0, 25.0, 35.0, 45.0}) {
    const hold::Outline outline = hold::make_outline(lip(depth_mm, 0.0, 4.0));
    for (const Finger& finger : hand.fingers) {
      FlushGap gap(finger, outline);
      for (const double pitch_deg : {-20.0, 0.0, 15.0}) {
        for (const double wanted_m : {0.0, -0.001, -0.0022}) {
          const double pitch = rad_from_deg(pitch_deg);
          for (const double middle : gap.find_middle_pitches(pitch, 0.0, wanted_m, pitch, pitch + 1.0)) {
            EXPECT_NEAR(gap.find({pitch, middle, 0.0}), wanted_m, 3e-4) << depth_mm << " mm, " << pitch_deg << " deg";
            ++n_found;
          }
        }
      }
    }
  }
  EXPECT_GT(n_found, 30);
}

TEST(FlushGap, MeansThatBothBonesBear) {
  const Hand hand = advanced_hand();
  const Finger& finger = hand.fingers[index_of(Digit::kMiddle)];
  const hold::Outline outline = hold::make_outline(lip(35.0, 0.0, 4.0));
  FlushGap gap(finger, outline);
  const double pitch = rad_from_deg(-15.0);
  const auto middle = gap.find_middle_pitches(pitch, 0.0, 0.0, pitch, pitch + 1.0);
  ASSERT_FALSE(middle.empty());
  const FingerPosture posture{pitch, middle[0] - pitch, rad_from_deg(60.0), 0.0};
  const Seating seating = seat_finger(finger, outline, posture, find_grip_form(Grip::kOpenHand));
  bool distal = false;
  bool middle_bears = false;
  for (const PadContact& contact : seating.contacts) {
    distal = distal || contact.bone == Bone::kDistal;
    middle_bears = middle_bears || contact.bone == Bone::kMiddle;
  }
  EXPECT_TRUE(distal);
  EXPECT_TRUE(middle_bears);
}

TEST(FlushGap, IsAwayWhereTheMiddleBoneIsNotOverTheHold) {
  const Hand hand = advanced_hand();
  const hold::Outline outline = hold::make_outline(lip(8.0));
  FlushGap gap(hand.fingers[1], outline);
  EXPECT_EQ(gap.find({0.0, 0.2, 0.0}), FlushGap::kAway);
}

}  // namespace
}  // namespace steepwright::grip
