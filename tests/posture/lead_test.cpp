// Leading a contact as far as the effort stays within its bound.

#include "engine/posture/lead.h"

#include "engine/posture/loads.h"
#include "engine/posture/stance.h"
#include "tests/support/malloc_guard.h"
#include "tests/support/stances.h"

#include <gtest/gtest.h>

#include <cmath>
#include <optional>

namespace steepwright::posture {
namespace {

struct Fixture {
  body::Body body = body::make_body({});
  wall::Wall wall = tests::make_plane_wall(rad_from_deg(25.0));
  RandomStream random{17};
  StanceWorkspace ws{body};
  BundleWorkspace bundle;
  EffortObjective objective;

  /// A stance whose last limb only touches, with the posture of least effort; nothing when none is found.
  std::optional<std::pair<StanceProblem, StanceAnswer>> draw() {
    StanceProblem problem = tests::draw_stance(random, body, wall).problem;
    problem.limbs.back().is_loaded = false;
    StanceAnswer answer = solve_stance(problem, {}, nullptr, ws);
    if (!answer.has_posture || answer.effort.status != statics::Status::kSolved) return std::nullopt;
    return std::pair{problem, answer};
  }

  /// Met to `tolerance`, and then the effort of exact statics; infinite where the contacts are not met.
  double check(const StanceProblem& problem, body::Posture posture) {
    ContactParams contacts;
    contacts.contact_tolerance = 1e-7;
    if (solve_contacts(problem, contacts, posture, ws.search.posture).status != ContactStatus::kMet) return INFINITY;
    make_statics_problem(problem, posture, ws.search.posture.kinematics, PointModel::kAll, ws.limits, ws.statics);
    const statics::Effort effort = statics::solve_effort(ws.statics, ws.effort);
    return effort.status == statics::Status::kSolved ? effort.rho : INFINITY;
  }

  LeadResult lead(StanceProblem& problem, const Vec3& way_W, double bound, body::Posture& posture) {
    LeadParams params;
    params.bound = bound;
    params.level = 0.98 * bound;
    params.max_evaluations = 200;
    const int limb = static_cast<int>(problem.limbs.size()) - 1;
    return lead_limb(problem, limb, problem.limbs.back().p_WC + way_W, params, objective, posture, ws.search.posture,
                     bundle);
  }
};

TEST(Lead, KeepsContactsAndBoundOnItsWay) {
  Fixture fixture;
  int n_led = 0, n_arrived = 0, n_short = 0;
  for (int k = 0; k < 30; ++k) {
    auto drawn = fixture.draw();
    if (!drawn) continue;
    auto& [problem, answer] = *drawn;
    const double bound = 1.02 * answer.effort.rho;
    const Vec3 from_W = problem.limbs.back().p_WC;
    const Vec3 way_W = (k % 2 == 0 ? 0.1 : 0.8) * Vec3(fixture.random.symmetric(0.5), 0.0, 1.0);
    body::Posture posture = answer.posture;
    const LeadResult result = fixture.lead(problem, way_W, bound, posture);
    ++n_led;
    n_arrived += result.share == 1.0 ? 1 : 0;
    n_short += result.share < 1.0 ? 1 : 0;
    EXPECT_TRUE(problem.limbs.back().p_WC.isApprox(from_W + result.share * way_W));
    EXPECT_LE(result.effort, bound + 1e-9);
    EXPECT_NEAR(fixture.check(problem, posture), result.effort, 2e-3 * bound);
  }
  EXPECT_GE(n_led, 20);
  EXPECT_GE(n_arrived, 3);
  EXPECT_GE(n_short, 3);
}

/// The planes make it yield where merely following the contact passes the bound at once.
TEST(Lead, GetsFurtherThanFollowingTheContactAlone) {
  Fixture fixture;
  constexpr double kWay_m = 0.8, kStep_m = 0.004;
  double led_m = 0.0, followed_m = 0.0;
  for (int k = 0; k < 30; ++k) {
    auto drawn = fixture.draw();
    if (!drawn) continue;
    auto& [problem, answer] = *drawn;
    const double bound = 1.02 * answer.effort.rho;
    const Vec3 way_W(0.0, 0.0, kWay_m);
    StanceProblem followed = problem;
    body::Posture posture = answer.posture;
    for (double along_m = kStep_m; along_m <= kWay_m; along_m += kStep_m) {
      followed.limbs.back().p_WC = problem.limbs.back().p_WC + Vec3(0.0, 0.0, along_m);
      ContactParams contacts;
      if (solve_contacts(followed, contacts, posture, fixture.ws.search.posture).status != ContactStatus::kMet) break;
      if (fixture.check(followed, posture) > bound) break;
      followed_m += kStep_m;
    }
    posture = answer.posture;
    led_m += kWay_m * fixture.lead(problem, way_W, bound, posture).share;
  }
  EXPECT_GT(followed_m, 0.0);
  EXPECT_GT(led_m, 1.5 * followed_m);
}

TEST(Lead, AllocatesNothing) {
  Fixture fixture;
  auto drawn = fixture.draw();
  while (!drawn) drawn = fixture.draw();
  auto& [problem, answer] = *drawn;
  body::Posture posture = answer.posture;
  const std::size_t before = tests::allocation_count();
  static_cast<void>(fixture.lead(problem, Vec3(0.0, 0.0, 0.02), 1.05 * answer.effort.rho, posture));
  EXPECT_EQ(tests::allocation_count(), before);
}

}  // namespace
}  // namespace steepwright::posture
