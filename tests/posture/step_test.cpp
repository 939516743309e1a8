#include "engine/posture/step.h"

#include "tests/support/matchers.h"
#include "tests/support/stances.h"

#include <gtest/gtest.h>

namespace steepwright::posture {
namespace {

/// Rows of a random stance at a posture that is off by up to `shift`.
struct Drawn {
  body::Body body = body::make_body({});
  wall::Wall wall = tests::make_kicker_wall(rad_from_deg(30.0));
  tests::DrawnStance stance;
  body::Posture posture;
  body::Kinematics kinematics;
  Rows rows;

  Drawn(std::uint64_t seed, double shift) {
    RandomStream random(seed);
    stance = tests::draw_stance(random, body, wall);
    posture = stance.solution;
    body::DofVector d(body.tree.n_dof());
    for (int i = 0; i < d.size(); ++i) d[i] = random.symmetric(shift);
    posture.step(d);
    for (int h = 0; h < body.tree.n_hinges(); ++h) {
      const body::Hinge& hinge = body.tree.hinges[static_cast<std::size_t>(h)];
      posture.angles[h] = std::clamp(posture.angles[h], hinge.lower, hinge.upper);
    }
    body::update_kinematics(body.tree, posture, kinematics);
    calc_rows(stance.problem, posture, kinematics, {}, rows);
  }
};

TEST(Rows, MatchDifferencesOfTheirValues) {
  Drawn drawn(1, 0.02);
  const int n = drawn.body.tree.n_dof();
  constexpr double kStep = 1e-6;
  for (int i = 0; i < n; ++i) {
    body::DofVector d = body::DofVector::Zero(n);
    d[i] = kStep;
    body::Posture ahead = drawn.posture;
    ahead.step(d);
    body::Posture behind = drawn.posture;
    behind.step(-d);
    Rows rows_ahead;
    Rows rows_behind;
    body::update_kinematics(drawn.body.tree, ahead, drawn.kinematics);
    calc_rows(drawn.stance.problem, ahead, drawn.kinematics, {}, rows_ahead);
    body::update_kinematics(drawn.body.tree, behind, drawn.kinematics);
    calc_rows(drawn.stance.problem, behind, drawn.kinematics, {}, rows_behind);
    ASSERT_EQ(rows_ahead.n(), drawn.rows.n());
    const Eigen::VectorXd difference =
        (rows_ahead.value.head(drawn.rows.n()) - rows_behind.value.head(drawn.rows.n())) / (2.0 * kStep);
    EXPECT_TRUE(tests::is_near(drawn.rows.A.col(i).head(drawn.rows.n()), difference, 1e-5)) << "dof " << i;
  }
}

TEST(Step, MeetsTheLinearisedConstraints) {
  for (std::uint64_t seed = 1; seed <= 50; ++seed) {
    Drawn drawn(seed, 0.03);
    StepWorkspace workspace;
    const int n = drawn.body.tree.n_dof();
    const body::DofVector d =
        solve_step(drawn.body.tree, drawn.posture, drawn.rows, body::DofVector::Zero(n), {}, workspace);
    const Eigen::VectorXd value =
        drawn.rows.value.head(drawn.rows.n()) + drawn.rows.A.topLeftCorner(drawn.rows.n(), n) * d;
    EXPECT_LT(value.head(drawn.rows.n_equality).cwiseAbs().maxCoeff(), 1e-5) << "seed " << seed;
    EXPECT_GT(value.tail(drawn.rows.n_one_sided).minCoeff(), -1e-5) << "seed " << seed;
    for (int h = 0; h < drawn.body.tree.n_hinges(); ++h) {
      const body::Hinge& hinge = drawn.body.tree.hinges[static_cast<std::size_t>(h)];
      EXPECT_GE(drawn.posture.angles[h] + d[6 + h], hinge.lower - 1e-12);
      EXPECT_LE(drawn.posture.angles[h] + d[6 + h], hinge.upper + 1e-12);
    }
  }
}

// Optimality (Karush, Kuhn & Tucker): d - d0 is a combination of the active rows with one-sided multipliers >= 0, where
// hinges are free.
TEST(Step, IsTheNearestPointToTheWish) {
  for (std::uint64_t seed = 1; seed <= 50; ++seed) {
    Drawn drawn(seed, 0.01);
    StepWorkspace workspace;
    RandomStream random(seed + 100);
    const int n = drawn.body.tree.n_dof();
    body::DofVector wish(n);
    for (int i = 0; i < n; ++i) wish[i] = random.symmetric(0.1);
    const body::DofVector d = solve_step(drawn.body.tree, drawn.posture, drawn.rows, wish, {}, workspace);
    body::DofVector rest = d - wish;
    for (int r = 0; r < drawn.rows.n(); ++r) {
      rest -= workspace.multiplier[r] * drawn.rows.A.row(r).head(n).transpose();
      if (r >= drawn.rows.n_equality) {
        EXPECT_GE(workspace.multiplier[r], -1e-12) << "seed " << seed;
      }
    }
    for (int i = 0; i < n; ++i) {
      if (workspace.fixed[static_cast<std::size_t>(i)] == 0) {
        EXPECT_NEAR(rest[i], 0.0, 1e-8) << "seed " << seed;
      }
    }
  }
}

}  // namespace
}  // namespace steepwright::posture
