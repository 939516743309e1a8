// Risk: proofs and checks agree with the exact program, draws are reproducible, and the shares follow the spreads.

#include "engine/move/risk.h"

#include "engine/move/risk_frame.h"
#include "tests/move/traced_scenes.h"
#include "tests/support/malloc_guard.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <numeric>

namespace steepwright::move::tests {
namespace {

/// A move near its limit, so that draws fall on both sides: rails on a steep panel, fingers hardly strong enough.
const Traced& near_the_limit() {
  static const Traced kTraced = [] {
    Scene scene = make_reach_scene(40.0);
    scene.climber.fingers.edge_force_N = 430.0;
    return trace(scene);
  }();
  return kTraced;
}

RiskOptions make_options(int draws) {
  RiskOptions options;
  options.draws = draws;
  return options;
}

TEST(Risk, AnswersAsTheExactProgramDoes) {
  const Traced& traced = near_the_limit();
  const RiskOptions options = make_options(60);
  std::size_t n_places = 0;
  const auto places = find_risk_places(traced.result, n_places);
  const auto workspace = std::make_unique<RiskWorkspace>();
  int n_held = 0, n_failed = 0;
  for (std::size_t i = 0; i < traced.result.frames.size(); i += 3) {
    if (!traced.result.frames[i].has_posture) continue;
    RiskFrame frame(traced.body, traced.result.frames[i], places[i], *workspace);
    for (std::uint64_t d = 0; d < static_cast<std::uint64_t>(options.draws); ++d) {
      const RiskDraw draw = make_risk_draw(options, n_places, d);
      const statics::Effort exact = frame.solve(draw, *workspace);
      if (std::abs(exact.rho - 1.0) < 1e-5) continue;
      const bool is_held = exact.status == statics::Status::kSolved && exact.rho < 1.0;
      EXPECT_EQ(frame.ask(draw, *workspace).is_held, is_held) << "frame " << i << ", draw " << d << ": " << exact.rho;
      ++(is_held ? n_held : n_failed);
    }
  }
  EXPECT_GT(n_held, 20);
  EXPECT_GT(n_failed, 20);
}

TEST(Risk, WithoutSpreadIsTheMoveItself) {
  const Traced& traced = near_the_limit();
  RiskOptions options = make_options(3);
  options.spreads = {0.0, 0.0, 0.0, 0.0, 0.0, 0.0};
  const auto risk = calc_risk(traced.body, traced.result, options);
  ASSERT_TRUE(risk);
  ASSERT_EQ(risk->frames.size(), traced.result.frames.size());
  for (std::size_t i = 0; i < risk->frames.size(); ++i) {
    const Frame& frame = traced.result.frames[i];
    EXPECT_DOUBLE_EQ(risk->frames[i].fail_share, frame.is_held ? 0.0 : 1.0) << i;
    if (!std::isfinite(frame.effort)) continue;
    // The estimate starts from half a per cent less friction.
    EXPECT_NEAR(risk->frames[i].effort.middle, frame.effort, 0.02) << i;
    for (const ContactResult& contact : frame.contacts) {
      const auto& margin = risk->frames[i].slip_margin[index_of(contact.limb)];
      ASSERT_EQ(margin.has_value(), contact.is_loaded);
      if (margin && contact.f_C_W.norm() > 1.0) {
        EXPECT_NEAR(margin->middle, contact.slip_margin, 2e-3) << i;
      }
      if (!is_hand(contact.limb)) continue;
      const auto& off = risk->frames[i].slip_off_margin[index_of(contact.limb)];
      ASSERT_EQ(off.has_value(), contact.is_loaded);
      if (off && contact.f_C_W.norm() > 1.0) {
        EXPECT_NEAR(off->middle, contact.slip_off.margin, 3e-3) << i;
      }
    }
  }
}

TEST(Risk, IsTheSameOnAnyNumberOfThreads) {
  const Traced& traced = near_the_limit();
  RiskOptions options = make_options(60);
  const auto one = calc_risk(traced.body, traced.result, options);
  options.threads = 3;
  const auto three = calc_risk(traced.body, traced.result, options);
  ASSERT_TRUE(one && three);
  EXPECT_EQ(one->fail_share, three->fail_share);
  EXPECT_EQ(one->exact_solves, three->exact_solves);
  for (std::size_t i = 0; i < one->frames.size(); ++i) {
    EXPECT_EQ(one->frames[i].fail_share, three->frames[i].fail_share);
    EXPECT_EQ(one->frames[i].effort.high, three->frames[i].effort.high);
  }
}

TEST(Risk, OfTheMoveLiesBetweenItsWorstFrameAndTheSumOfAll) {
  const Traced& traced = near_the_limit();
  const auto risk = calc_risk(traced.body, traced.result, make_options(200));
  ASSERT_TRUE(risk);
  double worst = 0.0, sum = 0.0, by_cause = 0.0;
  for (const FrameRisk& frame : risk->frames) {
    worst = std::max(worst, frame.fail_share);
    sum += frame.fail_share;
    EXPECT_LE(frame.effort.low, frame.effort.middle);
    EXPECT_LE(frame.effort.middle, frame.effort.high);
  }
  for (const FirstFailure& failure : risk->failures) by_cause += failure.share;
  EXPECT_GE(risk->fail_share, worst - 1e-12);
  EXPECT_LE(risk->fail_share, sum + 1e-12);
  EXPECT_NEAR(by_cause, risk->fail_share, 1e-9);
  EXPECT_GT(risk->fail_share, 0.0);
}

// The same draws, the same postures, more capacity: whatever held still does.
TEST(Risk, NoFrameFailsMoreOftenWithMoreCapacity) {
  const Traced& traced = near_the_limit();
  MoveResult stronger = traced.result;
  for (Frame& frame : stronger.frames) {
    for (ContactResult& contact : frame.contacts) {
      for (HalfSpace& bound : contact.capacity.bounds) bound.b_N *= 1.2;
    }
  }
  const auto risk = calc_risk(traced.body, traced.result, make_options(200));
  const auto less = calc_risk(traced.body, stronger, make_options(200));
  ASSERT_TRUE(risk && less);
  for (std::size_t i = 0; i < risk->frames.size(); ++i)
    EXPECT_LE(less->frames[i].fail_share, risk->frames[i].fail_share) << i;
  EXPECT_LT(less->fail_share, risk->fail_share);
}

TEST(Risk, GrowsWithTheSpreads) {
  const Traced& traced = near_the_limit();
  RiskOptions options = make_options(200);
  const auto usual = calc_risk(traced.body, traced.result, options);
  RiskSpreads& spreads = options.spreads;
  spreads = {0.1 * spreads.friction, 0.1 * spreads.fingers, 0.1 * spreads.joints,
             0.1 * spreads.build,    0.1 * spreads.place_m, 0.1 * spreads.tilt};
  const auto small = calc_risk(traced.body, traced.result, options);
  ASSERT_TRUE(usual && small);
  ASSERT_EQ(traced.result.verdict, Verdict::kStatic);
  EXPECT_LT(small->fail_share, usual->fail_share);
}

TEST(Risk, OfAFrameThatIsNotMetIsCertainAndNamesItsLimit) {
  Traced traced = near_the_limit();
  traced.result.frames.resize(2);
  traced.result.frames[0].has_posture = false;
  traced.result.frames[0].limit = "left hand does not reach";
  const auto risk = calc_risk(traced.body, traced.result, make_options(20));
  ASSERT_TRUE(risk);
  EXPECT_DOUBLE_EQ(risk->frames[0].fail_share, 1.0);
  EXPECT_NEAR(risk->fail_share, 1.0, 1e-12);
  ASSERT_EQ(risk->failures.size(), 1U);
  EXPECT_EQ(risk->failures[0].limit, "left hand does not reach");
}

TEST(Risk, StoppedEarlyHasNoResult) {
  RiskOptions options = make_options(10);
  options.is_stopped = [] { return true; };
  EXPECT_FALSE(calc_risk(near_the_limit().body, near_the_limit().result, options));
}

TEST(Risk, AskingAllocatesNothingButWhereItLearns) {
  const Traced& traced = near_the_limit();
  const RiskOptions options = make_options(1);
  std::size_t n_places = 0;
  const auto places = find_risk_places(traced.result, n_places);
  const auto workspace = std::make_unique<RiskWorkspace>();
  const std::size_t middle = traced.result.frames.size() / 2;
  RiskFrame frame(traced.body, traced.result.frames[middle], places[middle], *workspace);
  bool is_any_held = false;
  int n_asked = 0;
  for (std::uint64_t d = 0; d < 50; ++d) {
    const RiskDraw draw = make_risk_draw(options, n_places, d);
    const long solves = workspace->exact_solves;
    const std::size_t before = steepwright::tests::allocation_count();
    is_any_held = frame.ask(draw, *workspace).is_held || is_any_held;
    if (workspace->exact_solves > solves) continue;
    ++n_asked;
    EXPECT_EQ(steepwright::tests::allocation_count() - before, 0U) << d;
  }
  EXPECT_GT(n_asked, 25);
  EXPECT_TRUE(is_any_held);
}

TEST(RiskDraw, DependsOnItsNumberAlone) {
  RiskOptions options = make_options(10);
  const RiskDraw few = make_risk_draw(options, 2, 7);
  const RiskDraw many = make_risk_draw(options, 5, 7);
  EXPECT_EQ(few.skin, many.skin);
  EXPECT_EQ(few.places[1].tilt, many.places[1].tilt);
  EXPECT_NE(few.skin, make_risk_draw(options, 2, 8).skin);
  options.seed = 2;
  EXPECT_NE(few.skin, make_risk_draw(options, 2, 7).skin);
}

TEST(RiskDraw, HasTheSpreadsThatWereAsked) {
  const RiskOptions options = make_options(1);
  std::vector<double> logs, shifts;
  for (std::uint64_t d = 0; d < 4000; ++d) {
    const RiskDraw draw = make_risk_draw(options, 1, d);
    logs.push_back(std::log(draw.fingers));
    shifts.push_back(draw.places[0].shift_m[0]);
  }
  const auto find_deviation = [](const std::vector<double>& values) {
    return std::sqrt(std::inner_product(values.begin(), values.end(), values.begin(), 0.0) /
                     static_cast<double>(values.size()));
  };
  // The deviation of 4,000 draws is known to 1.1 %: four times that.
  EXPECT_NEAR(find_deviation(logs), options.spreads.fingers, 0.045 * options.spreads.fingers);
  EXPECT_NEAR(find_deviation(shifts), options.spreads.place_m, 0.045 * options.spreads.place_m);
}

}  // namespace
}  // namespace steepwright::move::tests
