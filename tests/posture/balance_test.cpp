// Balance as a region for the centre of mass, and the descent along the kinks of the effort.

#include "engine/posture/balance.h"

#include "engine/posture/bundle.h"
#include "engine/posture/loads.h"
#include "engine/posture/stance.h"
#include "tests/support/stances.h"

#include <gtest/gtest.h>

#include <cmath>

namespace steepwright::posture {
namespace {

struct Fixture {
  body::Body body = body::make_body({});
  wall::Wall wall = tests::make_plane_wall(rad_from_deg(25.0));
  RandomStream random{11};
  StanceWorkspace ws{body};

  /// A stance around a posture, with all friction scaled.
  StanceProblem draw(double friction, body::Posture& posture) {
    tests::DrawnStance drawn = tests::draw_stance(random, body, wall);
    posture = drawn.solution;
    for (LimbGoal& goal : drawn.problem.limbs) goal.capacity.mu *= friction;
    return drawn.problem;
  }

  statics::Effort find_effort(const StanceProblem& problem, const body::Posture& posture) {
    body::update_kinematics(body.tree, posture, ws.search.posture.kinematics);
    make_statics_problem(problem, posture, ws.search.posture.kinematics, PointModel::kAll, ws.limits, ws.statics);
    return statics::solve_effort(ws.statics, ws.effort);
  }
};

TEST(Balance, ProofsHoldForEveryCentreOfMass) {
  Fixture fixture;
  int n_cuts = 0, n_balanced = 0, n_out = 0;
  for (int i = 0; i < 40; ++i) {
    body::Posture posture;
    const StanceProblem problem = fixture.draw(0.35, posture);
    const statics::Effort effort = fixture.find_effort(problem, posture);
    BalanceRegion region;
    if (!add_balance_cut(fixture.ws.statics, effort, region)) continue;
    ++n_cuts;
    const BalanceCut cut = region.cuts[0];
    EXPECT_LT(cut.normal_W.dot(fixture.ws.statics.p_Wcm), cut.least_m);
    const Vec3 p_Wcm = fixture.ws.statics.p_Wcm;
    for (int k = 0; k < 50; ++k) {
      fixture.ws.statics.p_Wcm =
          p_Wcm + Vec3(fixture.random.symmetric(0.5), fixture.random.symmetric(0.5), fixture.random.symmetric(0.5));
      const bool is_out = cut.normal_W.dot(fixture.ws.statics.p_Wcm) < cut.least_m - 1e-6;
      const bool is_balanced =
          statics::solve_effort(fixture.ws.statics, fixture.ws.effort).status != statics::Status::kInfeasible;
      EXPECT_FALSE(is_out && is_balanced);
      n_balanced += is_balanced ? 1 : 0;
      n_out += is_out ? 1 : 0;
    }
  }
  EXPECT_GT(n_cuts, 10);
  EXPECT_GT(n_balanced, 50);
  EXPECT_GT(n_out, 50);
}

TEST(Balance, IsEnteredFromNearBy) {
  Fixture fixture;
  int n_out = 0, n_entered = 0;
  for (int i = 0; i < 60; ++i) {
    body::Posture posture;
    const StanceProblem problem = fixture.draw(0.5, posture);
    if (fixture.find_effort(problem, posture).status != statics::Status::kInfeasible) continue;
    ++n_out;
    BalanceRegion region;
    if (!enter_balance(problem, ContactParams{}, region, posture, fixture.ws)) continue;
    ++n_entered;
    EXPECT_TRUE(std::isfinite(fixture.find_effort(problem, posture).rho));
    EXPECT_LE(find_violation(problem, posture, fixture.ws.search.posture.kinematics, {}).contact_m, 2e-5);
  }
  EXPECT_GT(n_out, 10);
  EXPECT_GE(n_entered, n_out / 2);
}

/// Efforts of random stances: a search with quasi-Newton steps, which ends at kinks, then the bundle.
TEST(Bundle, LowersTheEffortWhereQuasiNewtonStepsEnd) {
  Fixture fixture;
  SearchParams params;
  params.relative_tolerance = 1e-4;
  params.patience = 5;
  params.first_turn = 0.05;
  BundleParams bundle;
  BundleWorkspace workspace;
  bundle.contacts = params.contacts;
  double before = 0.0, after = 0.0;
  int n = 0, n_ended_at_once = 0;
  for (int i = 0; i < 20; ++i) {
    body::Posture posture;
    const StanceProblem problem = fixture.draw(1.5, posture);
    if (!std::isfinite(fixture.find_effort(problem, posture).rho)) continue;
    ++n;
    const SearchResult found = search_posture(problem, params, fixture.ws.effort_objective, posture, fixture.ws.search);
    n_ended_at_once += found.evaluations < 3 ? 1 : 0;
    before += found.value;
    search_bundle(problem, bundle, fixture.ws.effort_objective, posture, fixture.ws.search.posture, workspace);
    const double rho = fixture.find_effort(problem, posture).rho;
    EXPECT_LE(rho, found.value + 1e-6);
    after += rho;
  }
  RecordProperty("before", std::to_string(before / n));
  RecordProperty("after", std::to_string(after / n));
  EXPECT_GT(n, 10);
  EXPECT_LE(n_ended_at_once, n / 10);
  EXPECT_LT(after, 0.97 * before);
}

}  // namespace
}  // namespace steepwright::posture
