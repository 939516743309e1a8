#include "engine/posture/stance.h"

#include "tests/support/malloc_guard.h"
#include "tests/support/matchers.h"
#include "tests/support/stances.h"

#include <gtest/gtest.h>

#include <cstring>
#include <memory>

namespace steepwright::posture {
namespace {

/// A stance on a random wall of 0 to 50 degrees; body and wall live as long as it does.
struct Case {
  std::unique_ptr<body::Body> body;
  std::unique_ptr<wall::Wall> wall;
  tests::DrawnStance drawn;
};

Case draw_case(std::uint64_t seed, double spread) {
  RandomStream random(seed);
  body::Measures measures;
  measures.sex = random.uniform() < 0.5 ? body::Sex::kFemale : body::Sex::kMale;
  measures.stature_m = random.uniform(1.55, 1.90);
  measures.mass_kg = 22.0 * measures.stature_m * measures.stature_m;
  Case drawn;
  drawn.body = std::make_unique<body::Body>(body::make_body(measures));
  drawn.wall = std::make_unique<wall::Wall>(tests::make_plane_wall(rad_from_deg(random.uniform(0.0, 50.0))));
  drawn.drawn = tests::draw_stance(random, *drawn.body, *drawn.wall, spread);
  return drawn;
}

// Every stance is laid around a posture inside all limits, so a solution exists: at least 98 % must be found.
TEST(Stance, FindsAPostureWhereOneExists) {
  constexpr int kCount = 500;
  int found = 0;
  StanceParams params;
  params.search.max_iterations = 0;  // the question is whether there is a posture, not how easy it is
  params.max_polish = 0;
  params.wanted_starts = 1;
  for (std::uint64_t seed = 0; seed < kCount; ++seed) {
    const Case drawn = draw_case(seed, 0.45);
    StanceWorkspace workspace(*drawn.body);
    const StanceAnswer answer = solve_stance(drawn.drawn.problem, params, nullptr, workspace);
    if (!answer.has_posture) continue;
    ++found;
    EXPECT_LE(answer.violation.contact_m, 1e-3);
    EXPECT_LE(answer.violation.hinge, 1e-9);
    EXPECT_GE(answer.violation.clearance_m, -params.accepted_clearance_m);
  }
  RecordProperty("found", found);
  EXPECT_GE(found, kCount * 98 / 100);
}

TEST(Stance, IsTheSameForTheSameSeed) {
  const Case drawn = draw_case(77, 0.3);
  StanceParams params;
  StanceWorkspace first_workspace(*drawn.body);
  const StanceAnswer first = solve_stance(drawn.drawn.problem, params, nullptr, first_workspace);
  // A used workspace must not change the answer either.
  StanceWorkspace workspace(*drawn.body);
  const Case other = draw_case(78, 0.3);
  StanceAnswer second = solve_stance(drawn.drawn.problem, params, nullptr, workspace);
  second = solve_stance(drawn.drawn.problem, params, nullptr, workspace);
  EXPECT_TRUE(tests::is_near(first.posture.angles, second.posture.angles, 0.0, "rad"));
  EXPECT_EQ(first.effort.rho, second.effort.rho);
}

TEST(Stance, EasesThePostureItFinds) {
  for (std::uint64_t seed = 0; seed < 10; ++seed) {
    const Case drawn = draw_case(seed, 0.25);
    StanceWorkspace workspace(*drawn.body);
    StanceParams plain;
    plain.search.max_iterations = 0;
    plain.max_polish = 0;
    const StanceAnswer start = solve_stance(drawn.drawn.problem, plain, nullptr, workspace);
    const StanceAnswer eased = solve_stance(drawn.drawn.problem, {}, nullptr, workspace);
    ASSERT_TRUE(start.has_posture && eased.has_posture);
    if (start.is_held()) {
      EXPECT_LE(eased.distribution.cost, start.distribution.cost * (1 + 1e-9)) << "seed " << seed;
    }
  }
}

TEST(Stance, AllocatesNothingAfterTheWorkspaceIsMade) {
  const Case drawn = draw_case(5, 0.3);
  StanceWorkspace workspace(*drawn.body);
  const StanceAnswer cold = solve_stance(drawn.drawn.problem, {}, nullptr, workspace);
  const std::size_t before = tests::allocation_count();
  const StanceAnswer warm = solve_stance(drawn.drawn.problem, {}, &cold.posture, workspace);
  EXPECT_EQ(tests::allocation_count(), before);
  EXPECT_TRUE(warm.has_posture);
}

TEST(NearestReach, IsZeroWhereTheContactsCanBeMetAndGrowsBeyond) {
  const Case drawn = draw_case(9, 0.25);
  StanceWorkspace workspace(*drawn.body);
  EXPECT_LT(solve_nearest_reach(drawn.drawn.problem, 1, {}, &drawn.drawn.solution, workspace).distance_m, 2e-3);
  StanceProblem far = drawn.drawn.problem;
  far.limbs[1].p_WC += Vec3(0.0, 0.0, 3.0);
  const NearestReach three_m = solve_nearest_reach(far, 1, {}, &drawn.drawn.solution, workspace);
  far.limbs[1].p_WC += Vec3(0.0, 0.0, 0.5);
  const NearestReach more = solve_nearest_reach(far, 1, {}, &drawn.drawn.solution, workspace);
  ASSERT_TRUE(three_m.has_posture && more.has_posture);
  EXPECT_GT(three_m.distance_m, 0.5);
  EXPECT_NEAR(more.distance_m - three_m.distance_m, 0.5, 0.05);
}

}  // namespace
}  // namespace steepwright::posture
