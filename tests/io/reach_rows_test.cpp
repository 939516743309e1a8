// Rows of a reach map: what is kept of a stance is the stance to the last bit, so that a map goes on as if it had never
// stopped.

#include "engine/io/reach_rows.h"

#include <gtest/gtest.h>

#include <cmath>

namespace steepwright::io {
namespace {

constexpr int kHinges = 5;

/// Numbers that no few digits tell.
study::ReachAnswer make_answer(double first) {
  study::ReachAnswer answer;
  answer.stance.has_posture = answer.stance.is_held = answer.stance.has_limit = true;
  answer.stance.effort = std::sqrt(first) / 3.0;
  answer.settled_effort = std::cbrt(first) / 7.0;
  answer.stance.limit.kind = statics::LimitShare::Kind::kTorqueUpper;
  answer.stance.limit.index = 4;
  answer.bins.hands = {std::nullopt, -2};
  answer.cause = move::Cause::kStrength;
  answer.stance.posture.p_WB = Vec3(first / 3.0, -first / 7.0, std::exp(first));
  answer.stance.posture.R_WB = Eigen::AngleAxisd(first / 3.0, Vec3(1.0, 2.0, 3.0).normalized()).toRotationMatrix();
  answer.stance.posture.angles.setLinSpaced(kHinges, -first / 3.0, first / 7.0);
  answer.stance.balance.cuts.push_back({Vec3(std::sqrt(0.5), -std::sqrt(0.5), 0.0), first / 11.0});
  return answer;
}

void expect_same(const study::ReachAnswer& read, const study::ReachAnswer& written) {
  EXPECT_EQ(read.stance.is_held, written.stance.is_held);
  EXPECT_EQ(read.stance.effort, written.stance.effort);
  EXPECT_EQ(read.settled_effort, written.settled_effort);
  EXPECT_EQ(read.stance.has_limit, written.stance.has_limit);
  if (written.stance.has_limit) {
    EXPECT_EQ(read.stance.limit.kind, written.stance.limit.kind);
    EXPECT_EQ(read.stance.limit.index, written.stance.limit.index);
  }
  EXPECT_EQ(read.bins, written.bins);
  EXPECT_EQ(read.cause, written.cause);
  EXPECT_EQ(read.stance.posture.p_WB, written.stance.posture.p_WB);
  EXPECT_EQ(read.stance.posture.R_WB, written.stance.posture.R_WB);
  EXPECT_EQ(read.stance.posture.angles, written.stance.posture.angles);
  ASSERT_EQ(read.stance.balance.cuts.size(), written.stance.balance.cuts.size());
  for (std::size_t k = 0; k < read.stance.balance.cuts.size(); ++k) {
    EXPECT_EQ(read.stance.balance.cuts[k].normal_W, written.stance.balance.cuts[k].normal_W);
    EXPECT_EQ(read.stance.balance.cuts[k].least_m, written.stance.balance.cuts[k].least_m);
  }
}

TEST(ReachRow, IsTheOutcomeToTheLastBit) {
  const study::ReachTask task{1, 7, 31, 0.005, 0.0, 0.0, study::Care::kPatient, {}};
  for (const double first : {0.1, 0.7, 1.3, 2.9}) {
    const study::ReachOutcome outcome{true, make_answer(first), false, 3};
    const std::optional<ReachRow> row = read_reach_row(Json::parse(format_reach_row(task, outcome)), kHinges);
    ASSERT_TRUE(row);
    EXPECT_TRUE(row->is_of(task));
    EXPECT_EQ(row->outcome.n_solved, outcome.n_solved);
    expect_same(row->outcome.answer, outcome.answer);
  }
}

TEST(ReachRow, KeepsAnEffortThatIsInfinite) {
  study::ReachOutcome outcome{true, make_answer(0.3), false, 1};
  outcome.answer.stance.effort = outcome.answer.settled_effort = INFINITY;
  outcome.answer.stance.is_held = outcome.answer.stance.has_limit = false;
  const study::ReachTask task{0, 1, 2, 0.025, 0.0, 0.0, study::Care::kQuick, {}};
  const std::optional<ReachRow> row = read_reach_row(Json::parse(format_reach_row(task, outcome)), kHinges);
  ASSERT_TRUE(row);
  expect_same(row->outcome.answer, outcome.answer);
}

TEST(ReachTaskText, IsTheTaskToTheLastBit) {
  const study::ReachAnswer one = make_answer(0.1), two = make_answer(0.7);
  study::ReachTask task{1, 7, 31, 0.025 / 3.0, -1.0 / 3.0, 1.0, study::Care::kStubborn, {}};
  task.sources.push_back(&one);
  task.sources.push_back(&two);
  const std::optional<ReachTaskText> read = read_reach_task(format_reach_task(task), kHinges);
  ASSERT_TRUE(read);
  EXPECT_EQ(read->task.i, task.i);
  EXPECT_EQ(read->task.fine_m, task.fine_m);
  EXPECT_EQ(read->task.back_i, task.back_i);
  EXPECT_EQ(read->task.care, task.care);
  ASSERT_EQ(read->task.sources.size(), 2U);
  expect_same(*read->task.sources[0], one);
  expect_same(*read->task.sources[1], two);
}

}  // namespace
}  // namespace steepwright::io
