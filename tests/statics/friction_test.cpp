// Needed friction and margin: closed forms, borders, gradients.

#include "engine/statics/friction.h"

#include "engine/statics/distribution.h"
#include "engine/statics/margin.h"
#include "tests/statics/stances.h"
#include "tests/support/malloc_guard.h"

#include <gtest/gtest.h>

#include <memory>

namespace steepwright::tests {
namespace {

using statics::FrictionOptions;
using statics::FrictionWorkspace;
using statics::Margin;
using statics::MarginWorkspace;
using statics::NeededFriction;
using statics::Status;

NeededFriction solve(const StaticsProblem& problem, int edges = 0) {
  auto workspace = std::make_unique<FrictionWorkspace>();
  return solve_needed_friction(problem, FrictionOptions{edges}, *workspace);
}

TEST(NeededFriction, OfABlockOnASlopeIsTheTangentOfItsAngle) {
  for (const double angle_deg : {5.0, 20.0, 50.0, 80.0}) {
    const double angle = rad_from_deg(angle_deg);
    const Vec3 normal(-std::sin(angle), 0.0, std::cos(angle));
    const Vec3 along(std::cos(angle), 0.0, std::sin(angle));
    StaticsProblem problem;
    problem.weight_N = 500.0;
    for (const double x : {-0.5, 0.5})
      for (const double y : {-0.5, 0.5}) add_contact(problem, x * along + y * Vec3::UnitY(), normal, 0.4);
    problem.p_Wcm = 0.05 * normal;
    const NeededFriction needed = solve(problem);
    ASSERT_EQ(needed.status, Status::kSolved);
    EXPECT_NEAR(needed.factor, std::tan(angle) / 0.4, 1e-6 * needed.factor) << angle_deg;
    for (const double used : needed.mu_used) EXPECT_LE(used, std::tan(angle) * (1.0 + 1e-5));
  }
}

// Ladder with a man: floor (rough, mu) at the foot, wall (rough, the same mu) at the top, angle a from the floor,
// weight W at share u of the length. Both contacts slip at once: forces lie at +-atan(mu) from the normals. With
// N the floor's and P the wall's normal force: P = mu N, N + mu P = W, moments about the foot:
// W u cos a = P sin a + mu P cos a  =>  u (1 + mu^2) = mu (tan a + mu).
TEST(NeededFriction, OfALadderFollowsItsQuadratic) {
  for (const double angle_deg : {50.0, 60.0, 75.0}) {
    const double a = rad_from_deg(angle_deg);
    const double u = 0.7;
    // (u - 1) mu^2 - tan(a) mu + u = 0, the positive root.
    const double t = std::tan(a);
    const double mu = (-t + std::sqrt(t * t + 4.0 * (1.0 - u) * u)) / (2.0 * (1.0 - u));
    StaticsProblem problem;
    problem.weight_N = 800.0;
    add_contact(problem, Vec3::Zero(), Vec3::UnitZ(), 0.25);
    add_contact(problem, 4.0 * Vec3(std::cos(a), 0.0, std::sin(a)), -Vec3::UnitX(), 0.25);
    problem.p_Wcm = 4.0 * u * Vec3(std::cos(a), 0.0, std::sin(a));
    const NeededFriction needed = solve(problem);
    ASSERT_EQ(needed.status, Status::kSolved);
    EXPECT_NEAR(needed.factor, mu / 0.25, 1e-6 * needed.factor) << angle_deg;
  }
}

// A body between two planes at +-a from the horizontal (a valley), the centre of mass over the middle: normal forces
// alone carry it.
TEST(NeededFriction, IsZeroInASymmetricValley) {
  const double a = rad_from_deg(40.0);
  StaticsProblem problem;
  problem.weight_N = 100.0;
  add_contact(problem, Vec3(-std::sin(a), 0.0, -std::cos(a)), Vec3(std::sin(a), 0.0, std::cos(a)), 0.3);
  add_contact(problem, Vec3(std::sin(a), 0.0, -std::cos(a)), Vec3(-std::sin(a), 0.0, std::cos(a)), 0.3);
  const NeededFriction needed = solve(problem);
  ASSERT_EQ(needed.status, Status::kSolved);
  EXPECT_EQ(needed.factor, 0.0);
}

TEST(NeededFriction, IsInfiniteWhereNoFrictionHelps) {
  StaticsProblem problem;
  problem.weight_N = 100.0;
  add_contact(problem, Vec3(-0.2, 0.0, 0.0), Vec3::UnitZ(), 0.5);
  add_contact(problem, Vec3(0.2, 0.0, 0.0), Vec3::UnitZ(), 0.5);
  problem.p_Wcm = Vec3(1.0, 0.0, -0.1);  // beside the supports: only pulling would do
  const NeededFriction needed = solve(problem);
  EXPECT_EQ(needed.status, Status::kInfeasible);
  EXPECT_TRUE(std::isinf(needed.factor));
}

TEST(NeededFriction, IsTheBorderOfWhatTheDistributionCanHold) {
  RandomStream random(31);
  auto workspace = std::make_unique<statics::DistributionWorkspace>();
  int finite = 0;
  for (int i = 0; i < 500; ++i) {
    StaticsProblem problem = make_s4(random);
    const NeededFriction needed = solve(problem);
    ASSERT_NE(needed.status, Status::kLimitReached) << i;
    if (needed.status != Status::kSolved || needed.factor == 0.0) continue;
    ++finite;
    const auto is_held = [&](double factor) {
      StaticsProblem changed = problem;
      for (Contact& contact : changed.contacts) contact.capacity.mu *= factor;
      return solve_distribution(changed, {}, *workspace).status == Status::kSolved;
    };
    ASSERT_TRUE(is_held(needed.factor * (1.0 + 1e-5))) << i << " factor " << needed.factor;
    ASSERT_FALSE(is_held(needed.factor * (1.0 - 1e-5))) << i << " factor " << needed.factor;
    for (std::size_t c = 0; c < problem.contacts.size(); ++c)
      ASSERT_LE(needed.mu_used[c], problem.contacts[c].capacity.mu * needed.factor * (1.0 + 1e-4));
  }
  EXPECT_GT(finite, 450);
}

TEST(NeededFriction, DoesNotDependOnWhereItStarts) {
  RandomStream random(36);
  auto workspace = std::make_unique<FrictionWorkspace>();
  for (int i = 0; i < 300; ++i) {
    const StaticsProblem problem = i % 3 == 0 ? make_full(random) : make_s4(random);
    const NeededFriction cold = solve(problem);
    for (const double start : {1e-9, 0.02, 0.3, 1.0, 30.0, 1e7, cold.factor, 1.05 * cold.factor}) {
      FrictionOptions options;
      options.start_factor = start;
      const NeededFriction started = solve_needed_friction(problem, options, *workspace);
      ASSERT_EQ(started.status, cold.status) << i << " from " << start;
      if (cold.status != Status::kSolved) continue;
      ASSERT_NEAR(started.factor, cold.factor, 2e-7 * cold.factor + 1e-8) << i << " from " << start;
      ASSERT_LT(started.residual_N, 1e-6 * problem.weight_N);
      for (std::size_t c = 0; c < problem.contacts.size(); ++c)
        ASSERT_LE(started.mu_used[c], problem.contacts[c].capacity.mu * cold.factor * (1.0 + 5.1e-5) + 1e-8);
    }
  }
}

/// Three points on which the program stalls at a factor that the search comes to; found among stances of round numbers.
std::vector<StaticsProblem> make_stalling_stances() {
  struct Point {
    Vec3 p, normal;
  };
  struct Stance {
    Vec3 p_cm;
    std::array<Point, 3> points;
  };
  const std::vector<Stance> stances = {
      {{0.3, 0.4, 0.7},
       {{{{-0.7, -0.4, 0.7}, {1, 0.5, 0.5}}, {{-0.1, 0.4, 1}, {0.5, -1, 0}}, {{0.6, -0.3, 0.1}, {0.5, 0.5, 1}}}}},
      {{0.2, -0.2, 0.3},
       {{{{-0.6, 0.8, 0.7}, {-1, 0, 0}}, {{-1, -0.1, -0.6}, {1, 0.5, 0.5}}, {{0.2, 0.4, 0.6}, {0.5, -1, 0.5}}}}},
      {{0.4, 0.4, -0.2}, {{{{-1, -0.7, 0.5}, {1, 0, 0}}, {{0.3, 0, 0.1}, {1, -1, 0}}, {{0.1, 0.7, 0.3}, {0, 1, 1}}}}}};
  std::vector<StaticsProblem> problems;
  for (const Stance& stance : stances) {
    StaticsProblem& problem = problems.emplace_back();
    problem.weight_N = 700.0;
    problem.p_Wcm = stance.p_cm;
    for (const Point& point : stance.points) add_contact(problem, point.p, point.normal, 0.6);
  }
  return problems;
}

// Rounding may stall the program at one factor: another is tried. From other starts it does not stall.
TEST(NeededFriction, IsFoundWhereTheProgramStalls) {
  auto workspace = std::make_unique<FrictionWorkspace>();
  for (const StaticsProblem& problem : make_stalling_stances()) {
    const NeededFriction needed = solve(problem);
    ASSERT_EQ(needed.status, Status::kSolved);
    for (const double start : {0.5, 1.1, 2.0}) {
      FrictionOptions options;
      options.start_factor = start;
      const NeededFriction other = solve_needed_friction(problem, options, *workspace);
      ASSERT_EQ(other.status, Status::kSolved) << start;
      EXPECT_NEAR(needed.factor, other.factor, 2e-7 * other.factor) << start;
    }
  }
}

TEST(NeededFriction, TakesFewerSolvesFromAnAnswerNearBy) {
  RandomStream random(37);
  auto workspace = std::make_unique<FrictionWorkspace>();
  int cold_solves = 0;
  int near_solves = 0;
  for (int i = 0; i < 100; ++i) {
    StaticsProblem problem = make_full(random);
    const NeededFriction before = solve(problem);
    problem.p_Wcm += Vec3(0.003, 0.003, 0.003);
    const NeededFriction cold = solve(problem);
    if (before.status != Status::kSolved || cold.status != Status::kSolved) continue;
    FrictionOptions options;
    options.start_factor = before.factor;
    cold_solves += cold.solves;
    near_solves += solve_needed_friction(problem, options, *workspace).solves;
  }
  EXPECT_LT(near_solves, cold_solves);
}

TEST(NeededFriction, WithAPyramidInsideTheConeIsLargerByAtMostOneOverCosine) {
  RandomStream random(32);
  for (int i = 0; i < 100; ++i) {
    const StaticsProblem problem = make_s4(random);
    const NeededFriction round = solve(problem);
    const NeededFriction pyramid = solve(problem, 8);
    if (round.status != Status::kSolved) continue;
    ASSERT_EQ(pyramid.status, Status::kSolved);
    ASSERT_GE(pyramid.factor, round.factor * (1.0 - 1e-6));
    ASSERT_LE(pyramid.factor, round.factor / std::cos(kPi / 8.0) * (1.0 + 1e-6));
  }
}

TEST(Margin, IsPositiveExactlyWhereForcesExist) {
  RandomStream random(33);
  auto workspace = std::make_unique<MarginWorkspace>();
  auto distribution = std::make_unique<statics::DistributionWorkspace>();
  for (int i = 0; i < 500; ++i) {
    const StaticsProblem problem = make_s4(random);
    const Margin margin = solve_margin(problem, *workspace);
    ASSERT_EQ(margin.status, Status::kSolved);
    if (std::abs(margin.margin_N) < 1e-6) continue;
    statics::DistributionOptions options;
    options.effort_bound = 1.0;
    ASSERT_EQ(margin.margin_N > 0.0, solve_distribution(problem, options, *distribution).status == Status::kSolved)
        << i;
  }
}

TEST(Margin, GradientFollowsFromTheDuals) {
  RandomStream random(34);
  auto workspace = std::make_unique<MarginWorkspace>();
  int off = 0;
  int checked = 0;
  for (int i = 0; i < 100; ++i) {
    const StaticsProblem problem = make_s4(random);
    const Margin margin = solve_margin(problem, *workspace);
    for (int axis = 0; axis < 3; ++axis) {
      const double h = 1e-5;
      const Vec3 e = Vec3::Unit(axis);
      StaticsProblem plus = problem;
      StaticsProblem minus = problem;
      plus.p_Wcm += h * e;
      minus.p_Wcm -= h * e;
      const double slope =
          (solve_margin(plus, *workspace).margin_N - solve_margin(minus, *workspace).margin_N) / (2.0 * h);
      ++checked;
      // d((p - c) x f) = -e x sum f = -e x W z
      if (std::abs(slope + margin.moment_dual.dot(e.cross(Vec3::UnitZ()))) > 1e-3) ++off;
    }
  }
  EXPECT_LE(off, checked / 50);  // the margin has kinks
}

TEST(Margin, OfABlockOnAFlatFloorIsItsFrictionTimesAQuarterOfItsWeight) {
  StaticsProblem problem;
  problem.weight_N = 400.0;
  for (const double x : {-0.5, 0.5})
    for (const double y : {-0.5, 0.5}) add_contact(problem, Vec3(x, y, 0.0), Vec3::UnitZ(), 0.5);
  problem.p_Wcm = Vec3(0.0, 0.0, 0.3);
  auto workspace = std::make_unique<MarginWorkspace>();
  const Margin margin = solve_margin(problem, *workspace);
  ASSERT_EQ(margin.status, Status::kSolved);
  EXPECT_NEAR(margin.margin_N, 0.5 * 100.0, 1e-5);
}

TEST(NeededFriction, AllocatesNothing) {
  RandomStream random(35);
  const StaticsProblem problem = make_full(random);
  auto friction = std::make_unique<FrictionWorkspace>();
  auto margin = std::make_unique<MarginWorkspace>();
  const std::size_t before = allocation_count();
  const NeededFriction needed = solve_needed_friction(problem, {}, *friction);
  const Margin best = solve_margin(problem, *margin);
  EXPECT_NE(needed.status, Status::kLimitReached);
  EXPECT_NE(best.status, Status::kLimitReached);
  EXPECT_EQ(allocation_count(), before);
}

}  // namespace
}  // namespace steepwright::tests
