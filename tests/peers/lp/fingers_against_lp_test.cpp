// The finger's simplex, and the finger's balance itself, against linear programs in GLPK and Clp.

#include "tests/peers/lp/finger_programs.h"
#include "tests/peers/lp/lp_solvers.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace steepwright::tests {
namespace {

constexpr std::size_t kCases = 1000;
constexpr std::size_t kFreeBodyCases = 250;
/// Agreement of objectives, relative; below kFloor_N absolute: the peers' own tolerance on rows is 1e-7.
constexpr double kRelative = 1e-6;
constexpr double kFloor_N = 1e-4;

double allowed(double value_N) { return std::max(kRelative * std::abs(value_N), kFloor_N); }

/// The peers' answer as a force to be maximised.
double solve_by(std::unique_ptr<LpSolver> solver) {
  const LpAnswer answer = solver->solve();
  EXPECT_TRUE(answer.is_solved);
  return -answer.objective;
}

void expect_peers_agree(const LinearProgram& lp, double value_N) {
  EXPECT_NEAR(solve_by(make_glpk_solver(lp)), value_N, allowed(value_N)) << "GLPK";
  EXPECT_NEAR(solve_by(make_clp_solver(lp)), value_N, allowed(value_N)) << "Clp";
}

TEST(FingersAgainstLp, LoadAlongThePullOfAThousandFingersIsThatOfGlpkAndClp) {
  grip::FingerProgram program;
  int n_positive = 0;
  for (const FingerCase& drawn : draw_bearing_cases(2002, kCases)) {
    build(drawn, program);
    const double value_N = program.solve_along(grip::pull_direction(drawn.pull));
    // As in the engine: from what was tied for another pull.
    (void)program.solve_along(grip::pull_direction(drawn.pull - 0.1));
    const grip::FingerTies ties = program.ties();
    EXPECT_EQ(program.solve_along(grip::pull_direction(drawn.pull), ties), grip::LoadProgram::Status::kOptimal);
    EXPECT_NEAR(program.value(), value_N, allowed(value_N)) << "warm";
    expect_peers_agree(copy_program(program.program()), value_N);
    n_positive += value_N > 1.0 ? 1 : 0;
    if (HasFailure()) return;
  }
  EXPECT_GT(n_positive, static_cast<int>(kCases) / 2);
}

TEST(FingersAgainstLp, FreeBodiesOfTheBonesCarryTheSame) {
  grip::FingerProgram program;
  for (const FingerCase& drawn : draw_bearing_cases(2003, kFreeBodyCases)) {
    build(drawn, program);
    expect_peers_agree(make_free_body_program(drawn), program.solve_along(grip::pull_direction(drawn.pull)));
    if (HasFailure()) return;
  }
}

}  // namespace
}  // namespace steepwright::tests
