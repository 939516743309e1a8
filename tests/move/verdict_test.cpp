#include "engine/move/verdict.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>

namespace steepwright::move {
namespace {

using testing::HasSubstr;

Frame make_held_frame(Phase phase, double effort) {
  Frame frame;
  frame.phase = phase;
  frame.has_posture = true;
  frame.is_held = effort <= 1.0;
  frame.effort = effort;
  frame.limit = "right elbow flexion";
  ContactResult contact;
  contact.limb = Limb::kRightHand;
  contact.hold = "rail";
  frame.contacts.push_back(contact);
  return frame;
}

MoveResult decide(std::vector<Frame> frames) {
  MoveResult result;
  result.frames = std::move(frames);
  decide_verdict(result);
  return result;
}

TEST(Verdict, IsStaticWhenEveryFrameHolds) {
  const MoveResult result = decide({make_held_frame(Phase::kBefore, 0.4), make_held_frame(Phase::kTouch, 0.8)});
  EXPECT_EQ(result.verdict, Verdict::kStatic);
  EXPECT_EQ(result.cause, Cause::kNone);
  EXPECT_EQ(result.deciding_phase, Phase::kTouch);
  EXPECT_DOUBLE_EQ(result.effort_peak, 0.8);
  EXPECT_EQ(result.cause_text, "right elbow flexion used most");
}

TEST(Verdict, NamesTheMissingForceOfAGrip) {
  Frame frame = make_held_frame(Phase::kUnloaded, 1.18);
  frame.cause = Cause::kGrip;
  frame.limit = "right hand grip";
  frame.limit_limb = Limb::kRightHand;
  frame.limit_capacity_N = 400.0;
  const MoveResult result = decide({make_held_frame(Phase::kBefore, 0.4), frame});
  EXPECT_EQ(result.verdict, Verdict::kNotStatic);
  EXPECT_EQ(result.cause, Cause::kGrip);
  EXPECT_EQ(result.cause_text, "right hand grip on 'rail' at 118 %: 72 N missing");
  EXPECT_NEAR(*result.shortfall.force_N, 72.0, 1e-9);
}

TEST(Verdict, PutsMissingReachBeforeSlipAndSlipBeforeEffort) {
  Frame reach = make_held_frame(Phase::kTouch, 0.5);
  reach.has_posture = false;
  reach.is_held = false;
  reach.cause = Cause::kReach;
  reach.limit_limb = Limb::kRightHand;
  reach.reach_short_m = 0.034;
  Frame slip = make_held_frame(Phase::kUnloaded, std::numeric_limits<double>::infinity());
  slip.cause = Cause::kSlip;
  slip.limit = "right hand slips";
  slip.limit_limb = Limb::kRightHand;
  slip.limit_mu_needed = 0.71;
  slip.limit_mu_given = 0.60;
  Frame effort = make_held_frame(Phase::kBefore, 2.0);
  effort.cause = Cause::kStrength;

  const MoveResult all = decide({effort, slip, reach});
  EXPECT_EQ(all.cause, Cause::kReach);
  EXPECT_EQ(all.cause_text, "right hand ends 34 mm short of 'rail'");
  EXPECT_NEAR(*all.shortfall.reach_mm, 34.0, 1e-9);
  EXPECT_EQ(all.deciding_limb, Limb::kRightHand);

  const MoveResult without_reach = decide({effort, slip});
  EXPECT_EQ(without_reach.cause, Cause::kSlip);
  EXPECT_THAT(without_reach.cause_text, HasSubstr("needs mu 0.71, surface gives 0.60"));
  EXPECT_NEAR(*without_reach.shortfall.mu_needed, 0.71, 1e-12);

  EXPECT_EQ(decide({effort}).cause, Cause::kStrength);
}

TEST(Verdict, SaysWhatIsInTheWayAndHowDeep) {
  Frame frame = make_held_frame(Phase::kTouch, 0.5);
  frame.has_posture = false;
  frame.is_held = false;
  frame.cause = Cause::kClearance;
  frame.limit = "left thigh in panel 'main' (35°)";
  frame.obstruction_m = 0.045;
  const MoveResult result = decide({frame});
  EXPECT_EQ(result.cause_text, "left thigh in panel 'main' (35°) by 45 mm");
  EXPECT_NEAR(*result.shortfall.clearance_mm, 45.0, 1e-9);
}

}  // namespace
}  // namespace steepwright::move
