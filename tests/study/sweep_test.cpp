// Knobs and sweeps: what hangs on what, break-points, and directions that physics asks for.

#include "engine/study/sweep.h"

#include "tests/support/study_scene.h"

#include <gtest/gtest.h>

#include <cmath>

namespace steepwright::study {
namespace {

Knob find(const move::Scene& scene, KnobKind kind, const std::string& name = "") {
  const Result<Knob> knob = find_knob(scene, kind, name);
  EXPECT_TRUE(knob);
  return knob.value_or(Knob{});
}

SweepQuestion make_question(const move::Scene& scene, KnobKind kind, const std::string& name, double lower,
                            double upper, double step) {
  SweepQuestion question;
  question.axes.push_back({find(scene, kind, name), lower, upper, step});
  return question;
}

double effort_at(const move::Scene& scene, KnobKind kind, double value, const std::string& name = "") {
  return judge_point(scene, make_question(scene, kind, name, value, value + 1.0, 1.0), {value}).judged.effort;
}

TEST(Knob, KeepsHoldsOnTheirPanelWhenItsAngleChanges) {
  const move::Scene scene = tests::make_study_scene(20.0);
  const move::Scene turned = turn_knobs(scene, {find(scene, KnobKind::kAngle)}, {45.0}).scene;
  EXPECT_DOUBLE_EQ(turned.holds[0].across_m, scene.holds[0].across_m);
  EXPECT_DOUBLE_EQ(turned.holds[0].up_m, scene.holds[0].up_m);
  EXPECT_NEAR(turned.holds[0].X_WH.p.y(), -1.5 * std::sin(rad_from_deg(45.0)), 1e-9);
  EXPECT_NEAR((turned.holds[2].X_WH.p - scene.holds[2].X_WH.p).norm(), 0.0, 1e-12) << "the kicker stays";
}

TEST(Knob, LiftsThePanelWithTheKicker) {
  const move::Scene scene = tests::make_study_scene(20.0);
  const move::Scene turned = turn_knobs(scene, {find(scene, KnobKind::kKicker)}, {400.0}).scene;
  EXPECT_NEAR(turned.holds[0].X_WH.p.z() - scene.holds[0].X_WH.p.z(), 0.1, 1e-9);
}

TEST(Knob, ReadsWhatItTurns) {
  const move::Scene scene = tests::make_study_scene(20.0);
  for (const auto& [kind, name, value] :
       {std::tuple{KnobKind::kAngle, "", 33.0}, std::tuple{KnobKind::kKicker, "", 250.0},
        std::tuple{KnobKind::kAcross, "high bucket", 900.0}, std::tuple{KnobKind::kUp, "high bucket", 2000.0},
        std::tuple{KnobKind::kRotation, "high bucket", 10.0}, std::tuple{KnobKind::kDepth, "high bucket", 40.0},
        std::tuple{KnobKind::kIncut, "high bucket", 15.0}, std::tuple{KnobKind::kRounding, "high bucket", 6.0},
        std::tuple{KnobKind::kStature, "", 1700.0}, std::tuple{KnobKind::kSpan, "", 1900.0}}) {
    const Knob knob = find(scene, kind, name);
    const TurnedScene turned = turn_knobs(scene, {knob}, {value});
    EXPECT_EQ(turned.fault, "") << name_of(kind);
    EXPECT_NEAR(find_knob_value(turned.scene, knob), value, 0.5) << name_of(kind);
  }
}

TEST(Knob, TellsWhatCannotBeBuilt) {
  const move::Scene scene = tests::make_study_scene(20.0);
  EXPECT_NE(turn_knobs(scene, {find(scene, KnobKind::kDepth, "high bucket")}, {900.0}).fault, "");
  EXPECT_NE(turn_knobs(scene, {find(scene, KnobKind::kUp, "high bucket")}, {2790.0}).fault, "");
  EXPECT_FALSE(find_knob(scene, KnobKind::kDepth, "no such hold"));
  EXPECT_FALSE(find_knob(scene, KnobKind::kAngle, "no such strip"));
}

TEST(Sweep, FindsTheBreakPointWithinTheTolerance) {
  const move::Scene scene = tests::make_study_scene(20.0);
  const SweepQuestion question = make_question(scene, KnobKind::kStrength, "", 0.2, 1.0, 0.8);
  const SweepPoint weak = judge_point(scene, question, {0.2});
  const SweepPoint strong = judge_point(scene, question, {1.0});
  ASSERT_FALSE(weak.is_held());
  ASSERT_TRUE(strong.is_held());
  const BreakPoint found = find_break_point(scene, question, strong, weak, 0.01);
  EXPECT_LE(found.held_value - found.lost_value, 0.01);
  EXPECT_TRUE(judge_point(scene, question, {found.held_value}).is_held());
  EXPECT_FALSE(judge_point(scene, question, {found.lost_value}).is_held());
}

TEST(Sweep, FindsTheBreakPointAlongEitherAxis) {
  const move::Scene scene = tests::make_study_scene(20.0);
  SweepQuestion question = make_question(scene, KnobKind::kStature, "", 1700.0, 1800.0, 100.0);
  question.axes.push_back({find(scene, KnobKind::kStrength), 0.2, 1.0, 0.8});
  const SweepPoint weak = judge_point(scene, question, {1700.0, 0.2});
  const SweepPoint strong = judge_point(scene, question, {1700.0, 1.0});
  ASSERT_TRUE(strong.is_held() && !weak.is_held());
  const BreakPoint found = find_break_point(scene, question, strong, weak, 0.1);
  EXPECT_EQ(found.axis, 1);
  EXPECT_EQ(found.other, 1700.0);
  EXPECT_LE(found.held_value - found.lost_value, 0.1);
  EXPECT_GT(found.held_value, found.lost_value);
}

/// Both scale every limit, so the effort falls in proportion at the same posture; a search may do better, not worse.
TEST(Sweep, EffortFallsAsStrengthGrows) {
  const move::Scene scene = tests::make_study_scene(30.0);
  double last = 1e9;
  for (const double strength : {0.8, 1.0, 1.25, 1.6}) {
    const double effort = effort_at(scene, KnobKind::kStrength, strength);
    EXPECT_LT(effort, last) << strength;
    last = effort;
  }
}

TEST(Sweep, MoreFrictionNeverEndsAMoveThatHolds) {
  const move::Scene scene = tests::make_study_scene(30.0);
  bool has_held = false;
  for (const double friction : {0.02, 0.3, 1.0, 1.5}) {
    const SweepPoint point =
        judge_point(scene, make_question(scene, KnobKind::kFriction, "", friction, 2.0, 1.0), {friction});
    if (has_held) {
      EXPECT_TRUE(point.is_held()) << friction;
    }
    if (friction < 0.1) {
      EXPECT_FALSE(point.is_held()) << "nearly without friction";
    }
    has_held = has_held || point.is_held();
  }
  EXPECT_TRUE(has_held);
}

TEST(Sweep, SteeperIsHarderOnTheSameHolds) {
  const move::Scene scene = tests::make_study_scene(20.0);
  EXPECT_LT(effort_at(scene, KnobKind::kAngle, 15.0), effort_at(scene, KnobKind::kAngle, 45.0));
}

TEST(Sweep, CountsItsSamplesFirstAxisFastest) {
  const move::Scene scene = tests::make_study_scene(20.0);
  SweepQuestion question = make_question(scene, KnobKind::kAngle, "", 20.0, 30.0, 5.0);
  question.axes.push_back({find(scene, KnobKind::kStature), 1600.0, 1900.0, 100.0});
  EXPECT_EQ(question.count(), 12);
  EXPECT_EQ(question.find_values(4), (std::vector<double>{25.0, 1700.0}));
}

}  // namespace
}  // namespace steepwright::study
