// Friction feasibility, needed friction, margin and effort against linear programs in GLPK and Clp.

#include "engine/statics/distribution.h"
#include "engine/statics/effort.h"
#include "engine/statics/friction.h"
#include "engine/statics/margin.h"
#include "tests/peers/lp/lp_solvers.h"
#include "tests/statics/stances.h"

#include <gtest/gtest.h>

#include <cmath>
#include <memory>

namespace steepwright::tests {
namespace {

using statics::Status;

constexpr int kEdges = 8;

bool is_feasible(const StaticsProblem& problem, double factor) {
  const LpAnswer answer = make_glpk_solver(make_equilibrium_program(problem, kEdges, factor))->solve();
  EXPECT_TRUE(answer.is_solved || answer.is_infeasible);
  return answer.is_solved;
}

TEST(StaticsAgainstGlpk, NeededFrictionOfAThousandStancesHasTheSameVerdictAndFactor) {
  RandomStream random(1001);
  auto workspace = std::make_unique<statics::FrictionWorkspace>();
  int finite = 0;
  int near_border = 0;
  for (int i = 0; i < 1000; ++i) {
    const StaticsProblem problem = make_s4(random);
    const statics::NeededFriction needed = solve_needed_friction(problem, {kEdges}, *workspace);
    ASSERT_NE(needed.status, Status::kLimitReached) << i;
    // Verdict with the friction as given.
    if (std::abs(needed.factor - 1.0) < 1e-6) {
      ++near_border;
    } else {
      ASSERT_EQ(needed.factor < 1.0, is_feasible(problem, 1.0)) << i << " factor " << needed.factor;
    }
    if (needed.status != Status::kSolved) continue;
    ++finite;
    // Factor: the LP's border lies within 1e-4 of ours.
    ASSERT_TRUE(is_feasible(problem, needed.factor * (1.0 + 1e-4))) << i << " factor " << needed.factor;
    if (needed.factor < 1e-3) continue;
    ASSERT_FALSE(is_feasible(problem, needed.factor * (1.0 - 1e-4))) << i;
  }
  EXPECT_GT(finite, 900);
  EXPECT_LT(near_border, 5);
}

TEST(StaticsAgainstGlpk, ABisectedFactorAgreesToItsOwnPrecision) {
  RandomStream random(1002);
  auto workspace = std::make_unique<statics::FrictionWorkspace>();
  for (int i = 0; i < 50; ++i) {
    const StaticsProblem problem = make_s4(random);
    const statics::NeededFriction needed = solve_needed_friction(problem, {kEdges}, *workspace);
    if (needed.status != Status::kSolved || needed.factor < 1e-3) continue;
    double low = 0.0;
    double high = 8.0;
    if (!is_feasible(problem, high)) continue;
    while (high - low > 2e-6 * high) {  // closer to the border GLPK's own tolerance of 1e-7 decides
      const double middle = 0.5 * (low + high);
      (is_feasible(problem, middle) ? high : low) = middle;
    }
    EXPECT_NEAR(needed.factor, high, 2e-5 * high) << i;
  }
}

TEST(StaticsAgainstClp, MarginLiesBetweenThePyramidsInsideAndAroundTheCones) {
  RandomStream random(1003);
  auto workspace = std::make_unique<statics::MarginWorkspace>();
  constexpr int kFaces = 64;
  for (int i = 0; i < 200; ++i) {
    const StaticsProblem problem = make_s4(random);
    const statics::Margin margin = solve_margin(problem, *workspace);
    ASSERT_EQ(margin.status, Status::kSolved);
    const LpAnswer inside = make_clp_solver(make_face_margin_program(problem, kFaces, Pyramid::kInside))->solve();
    const LpAnswer around = make_clp_solver(make_face_margin_program(problem, kFaces, Pyramid::kAround))->solve();
    ASSERT_TRUE(inside.is_solved && around.is_solved) << i;
    ASSERT_GE(margin.margin_N, -inside.objective - 1e-7) << i;
    ASSERT_LE(margin.margin_N, -around.objective + 1e-7) << i;
    ASSERT_LT(inside.objective - around.objective, 5e-3) << i;  // the bracket is tight
  }
}

TEST(StaticsAgainstClp, EffortLiesBetweenThePyramidsInsideAndAroundTheCones) {
  RandomStream random(1004);
  auto workspace = std::make_unique<statics::EffortWorkspace>();
  constexpr int kFaces = 64;
  int compared = 0;
  for (int i = 0; i < 100; ++i) {
    const StaticsProblem problem = make_full(random);
    const statics::Effort effort = solve_effort(problem, *workspace);
    ASSERT_NE(effort.status, Status::kLimitReached);
    const LpAnswer inside = make_clp_solver(make_effort_program(problem, kFaces, Pyramid::kInside))->solve();
    const LpAnswer around = make_clp_solver(make_effort_program(problem, kFaces, Pyramid::kAround))->solve();
    if (effort.status == Status::kInfeasible) {
      ASSERT_TRUE(inside.is_infeasible) << i;
      continue;
    }
    ASSERT_TRUE(around.is_solved) << i;
    ASSERT_GE(effort.rho, around.objective - 1e-6) << i;
    if (!inside.is_solved) continue;
    ASSERT_LE(effort.rho, inside.objective + 1e-6) << i;
    ++compared;
  }
  EXPECT_GT(compared, 70);
}

TEST(StaticsAgainstClp, GlpkAndClpAgreeOnTheGeneratorForm) {
  RandomStream random(1005);
  for (int i = 0; i < 100; ++i) {
    const LinearProgram lp = make_generator_margin_program(make_s4(random), kEdges);
    ASSERT_EQ(lp.n_rows, 10);
    ASSERT_EQ(lp.n_columns, 33);
    const LpAnswer glpk = make_glpk_solver(lp)->solve();
    const LpAnswer clp = make_clp_solver(lp)->solve();
    ASSERT_TRUE(glpk.is_solved && clp.is_solved);
    ASSERT_NEAR(glpk.objective, clp.objective, 1e-6);
  }
}

}  // namespace
}  // namespace steepwright::tests
