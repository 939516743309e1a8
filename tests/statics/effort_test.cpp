// Effort: closed forms, shares, gradient, monotonicity.

#include "engine/statics/effort.h"

#include "engine/statics/distribution.h"
#include "tests/statics/stances.h"
#include "tests/support/malloc_guard.h"
#include "tests/support/matchers.h"

#include <gtest/gtest.h>

#include <memory>

namespace steepwright::tests {
namespace {

using statics::Effort;
using statics::EffortWorkspace;
using statics::LimitShare;
using statics::Status;

/// Two flat holds above the centre of mass at +-0.3 m, each able to bear `limit_N` along its normal (up).
StaticsProblem make_hang(double weight_N, double limit_N) {
  StaticsProblem problem;
  problem.weight_N = weight_N;
  for (const double x : {-0.3, 0.3}) {
    add_contact(problem, Vec3(x, 0.0, 2.0), Vec3::UnitZ(), 0.5);
    add_normal_cap(problem, limit_N);
  }
  problem.p_Wcm = Vec3(0.0, 0.0, 1.0);
  return problem;
}

TEST(Effort, OfAHangingWeightIsHalfTheWeightOverEachHoldsStrength) {
  auto workspace = std::make_unique<EffortWorkspace>();
  const Effort effort = solve_effort(make_hang(700.0, 500.0), *workspace);
  ASSERT_EQ(effort.status, Status::kSolved);
  EXPECT_NEAR(effort.rho, 350.0 / 500.0, 1e-8);  // symmetric: m g / 2 on each
  ASSERT_EQ(effort.limits.size(), 2U);
  EXPECT_NEAR(effort.limits[0].share + effort.limits[1].share, 1.0, 1e-7);
}

TEST(Effort, OfAWeightNearerToOneHoldFollowsTheLever) {
  auto workspace = std::make_unique<EffortWorkspace>();
  StaticsProblem problem = make_hang(700.0, 500.0);
  problem.p_Wcm.x() = 0.1;  // right hold carries (0.3 + 0.1) / 0.6 of the weight
  const Effort effort = solve_effort(problem, *workspace);
  EXPECT_NEAR(effort.rho, 700.0 * (0.4 / 0.6) / 500.0, 1e-7);
  ASSERT_GE(effort.limits.size(), 1U);
  EXPECT_EQ(effort.limits[0].index, 1);
  EXPECT_NEAR(effort.limits[0].share, 1.0, 1e-6);
}

TEST(Effort, OfOneJointIsItsTorqueOverItsActiveLimitPastThePassivePart) {
  StaticsProblem problem;
  problem.weight_N = 600.0;
  add_contact(problem, Vec3(0.0, 0.0, 0.0), Vec3::UnitZ(), 0.5);
  problem.p_Wcm = Vec3(0.0, 0.0, 1.0);
  problem.n_torque_rows = 1;
  problem.torque_offset = Eigen::VectorXd::Constant(1, 10.0);
  problem.torque_map.setZero(1, 3);
  problem.torque_map(0, 2) = 0.2;
  problem.active_lower = problem.active_upper = Eigen::VectorXd::Constant(1, 100.0);
  problem.passive_lower = Eigen::VectorXd::Zero(1);
  problem.passive_upper = Eigen::VectorXd::Constant(1, 30.0);
  auto workspace = std::make_unique<EffortWorkspace>();
  const Effort effort = solve_effort(problem, *workspace);
  ASSERT_EQ(effort.status, Status::kSolved);
  EXPECT_NEAR(effort.rho, (10.0 + 0.2 * 600.0 - 30.0) / 100.0, 1e-8);
  ASSERT_EQ(effort.limits.size(), 1U);
  EXPECT_EQ(effort.limits[0].kind, LimitShare::Kind::kTorqueUpper);
  EXPECT_TRUE(is_near(effort.torques, Eigen::VectorXd::Constant(1, 130.0), 1e-5, "Nm"));
}

TEST(Effort, IsZeroForALoadOnContactsWithoutLimits) {
  StaticsProblem problem = make_hang(700.0, 500.0);
  for (Contact& contact : problem.contacts) contact.capacity.bounds.clear();
  auto workspace = std::make_unique<EffortWorkspace>();
  const Effort effort = solve_effort(problem, *workspace);
  ASSERT_EQ(effort.status, Status::kSolved);
  EXPECT_NEAR(effort.rho, 0.0, 1e-8);
}

TEST(Effort, SharesSumToOneAndForcesKeepEveryLimit) {
  RandomStream random(21);
  auto workspace = std::make_unique<EffortWorkspace>();
  int solved = 0;
  for (int i = 0; i < 500; ++i) {
    const StaticsProblem problem = make_full(random);
    const Effort effort = solve_effort(problem, *workspace);
    ASSERT_NE(effort.status, Status::kLimitReached) << i;
    if (effort.status != Status::kSolved) continue;
    ++solved;
    double shares = 0.0;
    for (const LimitShare& limit : effort.limits) shares += limit.share;
    ASSERT_NEAR(shares, 1.0, 1e-4) << i;
    ASSERT_LT(effort.residual_N, 1e-6 * problem.weight_N);
    for (const Contact& contact : problem.contacts) {
      Vec3 sum = Vec3::Zero();
      for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
        const Vec3 f = effort.forces.segment<3>(3 * p);
        sum += f;
        ASSERT_LT(statics::find_cone_violation(contact.capacity, f), 1e-6 * problem.weight_N);
      }
      ASSERT_LT(find_capacity_use(contact.capacity, sum), effort.rho + 1e-6);
    }
    for (int j = 0; j < problem.n_torque_rows; ++j) {
      ASSERT_LT(effort.torques[j], effort.rho * problem.active_upper[j] + problem.passive_upper[j] + 1e-4);
      ASSERT_GT(effort.torques[j], -effort.rho * problem.active_lower[j] - problem.passive_lower[j] - 1e-4);
    }
  }
  EXPECT_GT(solved, 400);
}

// The distribution at an effort bound is possible just above rho and impossible just below: two solvers, one border.
TEST(Effort, IsTheBorderOfWhatTheDistributionCanHold) {
  RandomStream random(22);
  auto effort_workspace = std::make_unique<EffortWorkspace>();
  auto workspace = std::make_unique<statics::DistributionWorkspace>();
  int compared = 0;
  for (int i = 0; i < 300; ++i) {
    const StaticsProblem problem = make_full(random);
    const Effort effort = solve_effort(problem, *effort_workspace);
    statics::DistributionOptions options;
    options.effort_bound = effort.rho * (1.0 + 1e-5) + 1e-6;
    if (effort.status != Status::kSolved) {
      options.effort_bound = 1e3;
      ASSERT_EQ(solve_distribution(problem, options, *workspace).status, Status::kInfeasible) << i;
      continue;
    }
    ++compared;
    ASSERT_EQ(solve_distribution(problem, options, *workspace).status, Status::kSolved) << i;
    options.effort_bound = effort.rho * (1.0 - 1e-5) - 1e-6;
    ASSERT_EQ(solve_distribution(problem, options, *workspace).status, Status::kInfeasible) << i;
  }
  EXPECT_GT(compared, 200);
}

TEST(Effort, GradientFollowsFromTheDuals) {
  RandomStream random(23);
  auto workspace = std::make_unique<EffortWorkspace>();
  int checked = 0;
  int off = 0;
  for (int i = 0; i < 60; ++i) {
    const StaticsProblem problem = make_full(random);
    const Effort effort = solve_effort(problem, *workspace);
    if (effort.status != Status::kSolved) continue;
    const double h = 1e-5;
    const Vec3 weight = problem.weight_N * Vec3::UnitZ();
    for (int axis = 0; axis < 3; ++axis) {
      const Vec3 e = Vec3::Unit(axis);
      StaticsProblem plus = problem;
      StaticsProblem minus = problem;
      plus.p_Wcm += h * e;
      minus.p_Wcm -= h * e;
      const double slope = (solve_effort(plus, *workspace).rho - solve_effort(minus, *workspace).rho) / (2.0 * h);
      const double expected = -effort.moment_dual.dot(e.cross(weight));
      ++checked;
      // rho is piecewise smooth: a few differences straddle a change of the deciding limits.
      if (std::abs(slope - expected) > 5e-3 * (1.0 + std::abs(expected))) ++off;
    }
  }
  EXPECT_GT(checked, 120);
  EXPECT_LE(off, checked / 25);
}

TEST(Effort, RisesWithTheOffsetOfTheDecidingJointAsItsDualSays) {
  RandomStream random(27);
  auto workspace = std::make_unique<EffortWorkspace>();
  int checked = 0;
  int off = 0;
  for (int i = 0; i < 100; ++i) {
    const StaticsProblem problem = make_full(random);
    const Effort effort = solve_effort(problem, *workspace);
    if (effort.status != Status::kSolved || effort.limits[0].kind == LimitShare::Kind::kCapacityBound) continue;
    const int row = effort.limits[0].index;
    const double h = 1e-3;  // Nm
    StaticsProblem plus = problem;
    StaticsProblem minus = problem;
    plus.torque_offset[row] += h;
    minus.torque_offset[row] -= h;
    const double slope = (solve_effort(plus, *workspace).rho - solve_effort(minus, *workspace).rho) / (2.0 * h);
    ++checked;
    if (std::abs(slope - effort.torque_dual[row]) > 1e-2 * std::abs(slope) + 1e-6) ++off;
  }
  EXPECT_GT(checked, 40);
  EXPECT_LE(off, checked / 25);  // kinks
}

TEST(Effort, NeverRisesWithMoreFrictionOrOneMoreContact) {
  RandomStream random(24);
  auto workspace = std::make_unique<EffortWorkspace>();
  for (int i = 0; i < 200; ++i) {
    StaticsProblem problem = make_s4(random);
    const Effort before = solve_effort(problem, *workspace);
    if (before.status != Status::kSolved) continue;
    StaticsProblem rougher = problem;
    for (Contact& contact : rougher.contacts) contact.capacity.mu *= 1.1;
    const Effort with_friction = solve_effort(rougher, *workspace);
    ASSERT_EQ(with_friction.status, Status::kSolved);
    ASSERT_LE(with_friction.rho, before.rho + 1e-7);
    add_contact(problem, problem.p_Wcm + draw_vector(random, 1.0), Vec3::UnitZ() + draw_vector(random, 0.5), 0.6);
    add_normal_cap(problem, 0.5);
    const Effort with_contact = solve_effort(problem, *workspace);
    ASSERT_EQ(with_contact.status, Status::kSolved);
    ASSERT_LE(with_contact.rho, before.rho + 1e-7);
  }
}

TEST(Effort, GrowsWhenTheFeetAreRemoved) {
  RandomStream random(25);
  auto workspace = std::make_unique<EffortWorkspace>();
  int removed = 0;
  for (int i = 0; i < 100; ++i) {
    const StaticsProblem problem = make_s4(random);
    const Effort with_feet = solve_effort(problem, *workspace);
    if (with_feet.status != Status::kSolved) continue;
    StaticsProblem hands = problem;
    for (int foot = 0; foot < 2; ++foot) {
      hands.contacts.pop_back();
      hands.points.pop_back();
    }
    hands.p_Wcm = 0.5 * (hands.points[0] + hands.points[1]) - 0.8 * Vec3::UnitZ();
    for (Contact& contact : hands.contacts) contact.capacity.normal = contact.capacity.bounds[0].a = Vec3::UnitZ();
    const Effort effort = solve_effort(hands, *workspace);
    ASSERT_EQ(effort.status, Status::kSolved);
    ++removed;
    EXPECT_GE(effort.rho, 0.5 / (450.0 / (70.0 * 9.81)) - 1e-6);  // half the weight over a hand's cap
  }
  EXPECT_GT(removed, 50);
}

TEST(Effort, CertifiesAnImpossibleStance) {
  // Contacts that only push down cannot carry: a lift of the body is resisted by none.
  StaticsProblem problem;
  problem.weight_N = 700.0;
  for (const double x : {-0.3, 0.0, 0.3}) {
    add_contact(problem, Vec3(x, 0.2 * x * x, 2.0), -Vec3::UnitZ(), 0.5);
    add_normal_cap(problem, 500.0);
  }
  problem.p_Wcm = Vec3(0.0, 0.0, 1.0);
  auto workspace = std::make_unique<EffortWorkspace>();
  const Effort effort = solve_effort(problem, *workspace);
  ASSERT_EQ(effort.status, Status::kInfeasible);
  EXPECT_TRUE(std::isinf(effort.rho));
  // Certificate: translation t, rotation w with t_z < 0 (work of the target force) and f . (t + w x r) >= 0 in K.
  EXPECT_LT(effort.force_dual.z(), 0.0);
  for (std::size_t p = 0; p < problem.points.size(); ++p) {
    const Vec3 motion = effort.force_dual + effort.moment_dual.cross(problem.points[p] - problem.p_Wcm);
    const double along = motion.dot(problem.contacts[p].capacity.normal);
    const double across = (motion - along * problem.contacts[p].capacity.normal).norm();
    EXPECT_GE(along + 1e-6 * motion.norm(), 0.5 * across);
  }
}

TEST(Effort, AllocatesNothing) {
  RandomStream random(26);
  const StaticsProblem problem = make_full(random);
  auto workspace = std::make_unique<EffortWorkspace>();
  const std::size_t before = allocation_count();
  const Effort effort = solve_effort(problem, *workspace);
  EXPECT_NE(effort.status, Status::kLimitReached);
  EXPECT_EQ(allocation_count(), before);
}

}  // namespace
}  // namespace steepwright::tests
