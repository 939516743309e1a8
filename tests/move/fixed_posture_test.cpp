// What must hold at postures that a trace has gone through, however they were found.

#include "engine/posture/stance.h"
#include "tests/move/traced_scenes.h"

#include <gtest/gtest.h>

namespace steepwright::move {
namespace {

using posture::StanceAnswer;
using posture::StanceProblem;

/// The frames of a trace as problems again, with the sets that they were solved with.
class FixedPosture : public testing::Test {
 protected:
  FixedPosture()
      : scene_(tests::make_reach_scene(30.0)),
        traced_(tests::trace(scene_)),
        hands_(make_climber_hand(scene_.climber, traced_.body)),
        workspace_(traced_.body) {}

  /// Of a frame in which every limb that is on gives all its strength.
  StanceProblem make_problem(const Frame& frame) {
    Stance stance;
    ForearmSwings swings;
    for (const ContactResult& contact : frame.contacts) {
      const bool is_target = contact.hold == "high rail";
      const std::size_t limb = index_of(contact.limb);
      stance.limbs[limb] =
          is_target ? std::optional<LimbPlace>(scene_.moves[0].target) : scene_.moves[0].before.limbs[limb];
      if (is_hand(contact.limb)) swings[limb] = contact.set_forearm_swing;
    }
    return make_stance_problem(scene_, traced_.body, stance, hands_, swings);
  }

  StanceAnswer answer(const StanceProblem& problem, const body::Posture& posture) {
    StanceAnswer answered;
    answered.posture = posture;
    posture::solve_answers(problem, workspace_, answered);
    return answered;
  }

  static bool is_whole(const Frame& frame) {
    return frame.phase == Phase::kBefore || frame.phase == Phase::kTravel || frame.phase == Phase::kSettled;
  }

  const Scene scene_;
  const tests::Traced traced_;
  grip::CapacityCache hands_;
  posture::StanceWorkspace workspace_;
};

TEST_F(FixedPosture, AnswersAreThoseOfTheFrame) {
  int n = 0;
  for (const Frame& frame : traced_.result.frames) {
    if (!is_whole(frame)) continue;
    ++n;
    EXPECT_NEAR(answer(make_problem(frame), frame.posture).effort.rho, frame.effort, 1e-6) << frame.t;
  }
  EXPECT_GT(n, 10);
}

// The cones only grow with mu, so what held still holds.
TEST_F(FixedPosture, MoreFrictionNeverRaisesTheEffort) {
  for (const Frame& frame : traced_.result.frames) {
    if (!is_whole(frame)) continue;
    StanceProblem problem = make_problem(frame);
    double last = frame.effort;
    for (int step = 0; step < 3; ++step) {
      for (posture::LimbGoal& goal : problem.limbs) goal.capacity.mu *= 1.15;
      const double effort = answer(problem, frame.posture).effort.rho;
      EXPECT_LE(effort, last + 1e-7) << frame.t;
      last = effort;
    }
  }
}

// A contact more can always carry nothing.
TEST_F(FixedPosture, OneContactMoreNeverRaisesTheEffort) {
  for (const Frame& frame : traced_.result.frames) {
    if (!is_whole(frame)) continue;
    const StanceProblem all = make_problem(frame);
    for (std::size_t without = 0; without < all.limbs.size(); ++without) {
      StanceProblem fewer = all;
      fewer.limbs[without].is_loaded = false;
      const StanceAnswer answered = answer(fewer, frame.posture);
      if (answered.effort.status != statics::Status::kSolved) continue;
      EXPECT_GE(answered.effort.rho, frame.effort - 1e-7)
          << frame.t << " without " << long_name(all.limbs[without].limb);
    }
  }
}

StanceProblem scaled(const StanceProblem& problem, const body::Body& body, double k) {
  StanceProblem big = problem;
  big.body = &body;
  big.wall = nullptr;
  for (posture::LimbGoal& goal : big.limbs) {
    goal.p_BC *= k;
    goal.p_WC *= k;
    for (Vec3& p_WC : goal.points) p_WC *= k;
    for (HalfSpace& bound : goal.capacity.bounds) bound.b_N *= k * k * k;
    goal.scale_N *= k * k * k;
  }
  return big;
}

// Dimensional analysis: weight grows by k^3, and so does every force; use and effort are ratios.
TEST_F(FixedPosture, ForcesGrowByTheCubeOfTheScale) {
  constexpr double kScale = 1.25;
  const Frame& frame = traced_.result.frames.back();
  const body::Body big_body = tests::scaled(traced_.body, kScale);
  const StanceProblem problem = make_problem(frame);
  const StanceProblem big_problem = scaled(problem, big_body, kScale);
  body::Posture big_posture = frame.posture;
  big_posture.p_WB *= kScale;
  const StanceAnswer small = answer(problem, frame.posture);
  const StanceAnswer big = answer(big_problem, big_posture);
  EXPECT_NEAR(big.effort.rho, small.effort.rho, 1e-7);
  EXPECT_NEAR(big.friction.factor, small.friction.factor, 1e-6);
  ASSERT_EQ(big.distribution.forces.size(), small.distribution.forces.size());
  const double cube = kScale * kScale * kScale;
  const double weight_N = cube * 9.80665 * traced_.body.tree.mass_kg;
  EXPECT_LT((big.distribution.forces - cube * small.distribution.forces).norm(), 1e-6 * weight_N);
}

}  // namespace
}  // namespace steepwright::move
