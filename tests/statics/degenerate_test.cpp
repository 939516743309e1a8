// Degenerate stances: every solver answers, none crashes, loops or returns a NaN.

#include "engine/statics/distribution.h"
#include "engine/statics/effort.h"
#include "engine/statics/friction.h"
#include "engine/statics/margin.h"
#include "tests/statics/stances.h"

#include <gtest/gtest.h>

#include <memory>

namespace steepwright::tests {
namespace {

using statics::Status;

struct Answers {
  statics::Distribution distribution, soft;
  statics::Effort effort;
  statics::NeededFriction friction;
  statics::Margin margin;
};

Answers solve_all(const StaticsProblem& problem) {
  auto distribution = std::make_unique<statics::DistributionWorkspace>();
  auto effort = std::make_unique<statics::EffortWorkspace>();
  auto friction = std::make_unique<statics::FrictionWorkspace>();
  auto margin = std::make_unique<statics::MarginWorkspace>();
  statics::DistributionOptions soft;
  soft.equilibrium = statics::DistributionOptions::Equilibrium::kSoft;
  Answers answers{solve_distribution(problem, {}, *distribution), solve_distribution(problem, soft, *distribution),
                  solve_effort(problem, *effort), solve_needed_friction(problem, {}, *friction),
                  solve_margin(problem, *margin)};
  EXPECT_NE(answers.distribution.status, Status::kLimitReached);
  EXPECT_EQ(answers.soft.status, Status::kSolved);
  EXPECT_NE(answers.effort.status, Status::kLimitReached);
  EXPECT_NE(answers.friction.status, Status::kLimitReached);
  EXPECT_NE(answers.margin.status, Status::kLimitReached);
  EXPECT_TRUE(answers.distribution.forces.allFinite());
  EXPECT_TRUE(answers.soft.forces.allFinite());
  EXPECT_TRUE(answers.effort.forces.allFinite());
  EXPECT_TRUE(answers.friction.forces.allFinite());
  EXPECT_TRUE(answers.margin.forces.allFinite());
  EXPECT_TRUE(std::isfinite(answers.distribution.residual_N));
  EXPECT_TRUE(std::isfinite(answers.distribution.residual_Nm));
  return answers;
}

StaticsProblem make_stance(const std::vector<Vec3>& points, const Vec3& p_Wcm, const Vec3& normal = Vec3::UnitZ(),
                           double mu = 0.6) {
  StaticsProblem problem;
  problem.weight_N = 700.0;
  problem.p_Wcm = p_Wcm;
  for (const Vec3& point : points) {
    add_contact(problem, point, normal, mu);
    add_ball_bounds(problem, 600.0);
  }
  return problem;
}

TEST(DegenerateStance, OneContactUnderTheCentreOfMassHolds) {
  const Answers answers = solve_all(make_stance({Vec3::Zero()}, Vec3(0.0, 0.0, 1.0)));
  EXPECT_EQ(answers.distribution.status, Status::kSolved);
  EXPECT_NEAR(answers.distribution.forces[2], 700.0, 1e-6);
  EXPECT_NEAR(answers.effort.rho, 700.0 / 600.0, 1e-6);
  EXPECT_EQ(answers.friction.factor, 0.0);
}

TEST(DegenerateStance, OneContactBesideTheCentreOfMassDoesNot) {
  const Answers answers = solve_all(make_stance({Vec3::Zero()}, Vec3(0.1, 0.0, 1.0)));
  EXPECT_EQ(answers.distribution.status, Status::kInfeasible);
  EXPECT_EQ(answers.effort.status, Status::kInfeasible);
  EXPECT_EQ(answers.friction.status, Status::kInfeasible);
  // Least residual: the force stays, the moment of 0.1 m times 700 N is what is missing, weighted between the two.
  EXPECT_GT(answers.distribution.residual_Nm, 1.0);
}

TEST(DegenerateStance, TwoPointsInTheVerticalPlaneOfTheCentreOfMassHold) {
  const Answers answers = solve_all(make_stance({Vec3(-0.3, 0, 0), Vec3(0.3, 0, 0.2)}, Vec3(0.0, 0.0, 1.0)));
  EXPECT_EQ(answers.distribution.status, Status::kSolved);
  EXPECT_EQ(answers.effort.status, Status::kSolved);
  EXPECT_EQ(answers.margin.status, Status::kSolved);
}

TEST(DegenerateStance, TwoPointsOutOfThePlaneDoNot) {
  const Answers answers = solve_all(make_stance({Vec3(-0.3, 0, 0), Vec3(0.3, 0, 0.2)}, Vec3(0.0, 0.05, 1.0)));
  EXPECT_EQ(answers.distribution.status, Status::kInfeasible);
  EXPECT_EQ(answers.effort.status, Status::kInfeasible);
  EXPECT_EQ(answers.friction.status, Status::kInfeasible);
  EXPECT_EQ(answers.margin.status, Status::kInfeasible);
}

TEST(DegenerateStance, ThreeCollinearPointsBehaveAsTwo) {
  const std::vector<Vec3> points = {Vec3(-0.3, 0, 0), Vec3(0.0, 0, 0.0), Vec3(0.3, 0, 0.0)};
  EXPECT_EQ(solve_all(make_stance(points, Vec3(0.1, 0.0, 1.0))).distribution.status, Status::kSolved);
  EXPECT_EQ(solve_all(make_stance(points, Vec3(0.1, 0.1, 1.0))).distribution.status, Status::kInfeasible);
}

TEST(DegenerateStance, CoincidentPointsShareTheLoadEvenly) {
  const Answers answers = solve_all(make_stance({Vec3::Zero(), Vec3::Zero()}, Vec3(0.0, 0.0, 1.0)));
  ASSERT_EQ(answers.distribution.status, Status::kSolved);
  EXPECT_NEAR(answers.distribution.forces[2], 350.0, 1e-6);
  EXPECT_NEAR(answers.effort.rho, 350.0 / 600.0, 1e-6);
}

TEST(DegenerateStance, AContactThatCanOnlyPushDownCarriesNothing) {
  StaticsProblem problem = make_stance({Vec3(-0.3, -0.2, 0), Vec3(0.3, -0.2, 0), Vec3(0, 0.3, 0)}, Vec3(0, 0, 1.0));
  add_contact(problem, Vec3(0.0, 0.0, 2.0), -Vec3::UnitZ(), 0.3);
  add_ball_bounds(problem, 600.0);
  const Answers answers = solve_all(problem);
  ASSERT_EQ(answers.distribution.status, Status::kSolved);
  EXPECT_NEAR(answers.distribution.forces.tail<3>().norm(), 0.0, 1e-5);
}

TEST(DegenerateStance, NoFrictionAtAllStillHoldsAFlatStance) {
  const Answers answers = solve_all(
      make_stance({Vec3(-0.3, -0.2, 0), Vec3(0.3, -0.2, 0), Vec3(0, 0.3, 0)}, Vec3(0, 0, 1.0), Vec3::UnitZ(), 0.0));
  EXPECT_EQ(answers.distribution.status, Status::kSolved);
  EXPECT_EQ(answers.effort.status, Status::kSolved);
  EXPECT_EQ(answers.friction.factor, 0.0);
}

TEST(DegenerateStance, RedundantContactsAreAnswered) {
  std::vector<Vec3> points;
  for (int i = 0; i < 8; ++i) points.emplace_back(0.4 * std::cos(i * kPi / 4.0), 0.4 * std::sin(i * kPi / 4.0), 0.0);
  const Answers answers = solve_all(make_stance(points, Vec3(0.0, 0.0, 1.0)));
  EXPECT_EQ(answers.distribution.status, Status::kSolved);
  EXPECT_EQ(answers.effort.status, Status::kSolved);
  EXPECT_NEAR(answers.effort.rho, 700.0 / 8.0 / 600.0, 1e-6);
}

TEST(DegenerateStance, OpposingContactsMaySqueezeWithoutEnd) {
  StaticsProblem problem;
  problem.weight_N = 700.0;
  for (const double z : {-0.2, 0.2}) {
    add_contact(problem, Vec3(-0.4, 0.05, z), Vec3::UnitX(), 0.5);
    add_contact(problem, Vec3(0.4, 0.05, z), -Vec3::UnitX(), 0.5);
  }
  problem.p_Wcm = Vec3(0.0, 0.05, 0.0);
  const Answers answers = solve_all(problem);
  EXPECT_EQ(answers.distribution.status, Status::kSolved);
  EXPECT_GT(answers.margin.margin_N, 700.0);
  EXPECT_LT(answers.friction.factor, 1e-2);  // pressing harder replaces friction, up to the largest force considered
}

TEST(DegenerateStance, NoContactIsInfeasible) {
  StaticsProblem problem;
  problem.weight_N = 700.0;
  const Answers answers = [&] {
    auto distribution = std::make_unique<statics::DistributionWorkspace>();
    auto effort = std::make_unique<statics::EffortWorkspace>();
    auto friction = std::make_unique<statics::FrictionWorkspace>();
    auto margin = std::make_unique<statics::MarginWorkspace>();
    return Answers{solve_distribution(problem, {}, *distribution),
                   {},
                   solve_effort(problem, *effort),
                   solve_needed_friction(problem, {}, *friction),
                   solve_margin(problem, *margin)};
  }();
  EXPECT_EQ(answers.distribution.status, Status::kInfeasible);
  EXPECT_NEAR(answers.distribution.residual_N, 700.0, 1e-9);
  EXPECT_EQ(answers.effort.status, Status::kInfeasible);
  EXPECT_EQ(answers.friction.status, Status::kInfeasible);
  EXPECT_EQ(answers.margin.status, Status::kInfeasible);
}

}  // namespace
}  // namespace steepwright::tests
