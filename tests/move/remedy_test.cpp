#include "engine/move/remedy.h"

#include "tests/move/traced_scenes.h"

#include <gtest/gtest.h>

namespace steepwright::move {
namespace {

/// The target too high for this climber by some hand's breadths.
Scene make_far_scene() {
  Scene scene = tests::make_reach_scene(20.0);
  scene.holds[4].up_m = 2.87;
  place_holds(scene);
  return scene;
}

RemedyResult solve(const Scene& scene, Remedy remedy) {
  RemedyOptions options;
  options.remedies = {remedy};
  return solve_remedies(scene, scene.moves[0], options).front();
}

TEST(Remedy, TargetThatComesDownByTheAmountIsHeld) {
  const Scene scene = make_far_scene();
  ASSERT_EQ(tests::trace(scene).result.verdict, Verdict::kNotStatic);
  const RemedyResult down = solve(scene, Remedy::kTargetDown);
  ASSERT_TRUE(down.amount);
  EXPECT_GT(*down.amount, 0.02);
  EXPECT_DOUBLE_EQ(down.up_m, -*down.amount);
  // The run is repeated here from nothing but the amount that was told.
  Scene nearer = scene;
  nearer.holds[4].up_m -= *down.amount;
  place_holds(nearer);
  const MoveResult result = tests::trace(nearer).result;
  EXPECT_EQ(result.verdict, Verdict::kStatic) << result.cause_text;
  EXPECT_NEAR(result.effort_peak, down.effort_peak.value_or(0.0), 1e-9);
}

TEST(Remedy, MovingTheTargetAwayDoesNotHelp) {
  const RemedyResult up = solve(make_far_scene(), Remedy::kTargetUp);
  EXPECT_FALSE(up.amount);
  EXPECT_GT(up.runs, 0);
}

TEST(Remedy, WeakFingersAreToldHowMuchStrongerTheyMustBe) {
  Scene scene = tests::make_reach_scene(35.0);
  scene.climber.fingers.edge_force_N = 240.0;
  ASSERT_EQ(tests::trace(scene).result.cause, Cause::kGrip);
  const RemedyResult stronger = solve(scene, Remedy::kStrongerFingers);
  ASSERT_TRUE(stronger.amount);
  EXPECT_LE(stronger.effort_peak.value_or(2.0), 1.0 + 1e-6);
  scene.climber.fingers.edge_force_N *= 1.0 + *stronger.amount;
  EXPECT_EQ(tests::trace(scene).result.verdict, Verdict::kStatic);
}

// Remedies ask for the verdict alone: it must be the whole trace's where the move holds, and end early where it does
// not.
TEST(Remedy, VerdictAloneIsThatOfTheWholeTrace) {
  SolveOptions verdict_only;
  verdict_only.verdict_only = true;
  const Scene near = tests::make_reach_scene(20.0);
  const MoveResult whole = tests::trace(near).result;
  const MoveResult asked = tests::trace(near, verdict_only).result;
  EXPECT_EQ(asked.verdict, Verdict::kStatic);
  EXPECT_EQ(asked.effort_peak, whole.effort_peak);
  EXPECT_EQ(asked.frames.size(), whole.frames.size());
  const MoveResult ended = tests::trace(make_far_scene(), verdict_only).result;
  EXPECT_EQ(ended.verdict, Verdict::kNotStatic);
  EXPECT_LT(ended.frames.size(), 5U);
}

// Whoever solves which: answers come in the order asked, places that were asked for before are known to the same ones.
TEST(Remedy, AreTheSameOnAnyNumberOfThreads) {
  const Scene scene = make_far_scene();
  RemedyOptions options;
  options.remedies = {Remedy::kMoreFriction, Remedy::kTargetDown, Remedy::kDeeperHold, Remedy::kTargetUp};
  const std::vector<RemedyResult> one = solve_remedies(scene, scene.moves[0], options);
  options.threads = 3;
  const std::vector<RemedyResult> three = solve_remedies(scene, scene.moves[0], options);
  ASSERT_EQ(one.size(), options.remedies.size());
  ASSERT_EQ(three.size(), one.size());
  for (std::size_t i = 0; i < one.size(); ++i) {
    EXPECT_EQ(three[i].remedy, options.remedies[i]);
    EXPECT_EQ(three[i].amount, one[i].amount);
    EXPECT_EQ(three[i].effort_peak, one[i].effort_peak);
    EXPECT_EQ(three[i].runs, one[i].runs);
  }
}

TEST(Remedy, StoppedEarlyHasThoseThatWereSolved) {
  const Scene scene = make_far_scene();
  RemedyOptions options;
  options.remedies = {Remedy::kTargetUp, Remedy::kMoreFriction};
  options.on_progress = [](int done, int /*total*/) { return done < 1; };
  const std::vector<RemedyResult> solved = solve_remedies(scene, scene.moves[0], options);
  ASSERT_EQ(solved.size(), 1U);
  EXPECT_EQ(solved[0].remedy, Remedy::kTargetUp);
}

TEST(Remedy, NothingIsNeededForAMoveThatHolds) {
  const RemedyResult none = solve(tests::make_reach_scene(20.0), Remedy::kMoreFriction);
  EXPECT_EQ(none.amount, 0.0);
  EXPECT_EQ(none.runs, 0);
}

}  // namespace
}  // namespace steepwright::move
