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

/// No coefficient outside the support, and none left over from the rows that were in the same place before.
void expect_support(const Rows& rows, int n_dof) {
  for (int r = 0; r < rows.n(); ++r) {
    for (int i = 0; i < n_dof; ++i) {
      const bool is_in = (rows.support[static_cast<std::size_t>(r)] >> static_cast<unsigned>(i) & 1U) != 0;
      EXPECT_TRUE(is_in || rows.A(r, i) == 0.0) << "row " << r << ", dof " << i;
    }
  }
}

TEST(Rows, AreTheSameInUsedStorageAndZeroOutsideTheirSupport) {
  Rows used;
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    Drawn drawn(seed, 0.05);
    const int n = drawn.body.tree.n_dof();
    RowOptions options;
    options.plumb = seed % 3 == 0;
    options.without_limb = static_cast<int>(seed % 5) - 1;  // moves the kinds of rows to other places
    if (options.plumb) drawn.stance.problem.limbs.resize(2);
    Rows fresh;
    calc_rows(drawn.stance.problem, drawn.posture, drawn.kinematics, options, fresh);
    calc_rows(drawn.stance.problem, drawn.posture, drawn.kinematics, options, used);
    ASSERT_EQ(used.n(), fresh.n());
    EXPECT_EQ(used.A.topLeftCorner(used.n(), n), fresh.A.topLeftCorner(fresh.n(), n)) << "seed " << seed;
    expect_support(used, n);
  }
}

/// A body that is sunk into the wall has more rows of clearance than there is room for.
TEST(Rows, KeepThoseNearestToTheirSurfaceAndTellOfThoseLeftOut) {
  Drawn drawn(3, 0.0);
  for (const double depth_m : {0.8, 1.0, 1.2}) {
    body::Posture sunk = drawn.stance.solution;
    sunk.p_WB -= depth_m * drawn.wall.strips[1].X_WP.R.col(2);
    body::update_kinematics(drawn.body.tree, sunk, drawn.kinematics);
    Rows rows;
    calc_rows(drawn.stance.problem, sunk, drawn.kinematics, {}, rows);
    ASSERT_EQ(rows.n(), kMaxRows) << depth_m;
    double least = 1e30;
    for (int r = 0; r < rows.n(); ++r) {
      if (rows.tags[static_cast<std::size_t>(r)].kind != RowTag::Kind::kClearance) continue;
      EXPECT_LE(rows.value[r], rows.least_left_out) << depth_m;
      least = std::min(least, rows.value[r]);
    }
    const Violation violation = find_violation(drawn.stance.problem, sunk, drawn.kinematics, {});
    EXPECT_NEAR(least, violation.clearance_m / drawn.body.scale - kClearanceAim, 1e-12) << depth_m;
    expect_support(rows, drawn.body.tree.n_dof());
  }
}

TEST(Rows, KeepTheCentreOfMassInTheVerticalPlaneOfTwoLimbs) {
  Drawn drawn(2, 0.0);
  StanceProblem two_hands = drawn.stance.problem;
  two_hands.limbs.pop_back();
  two_hands.limbs.pop_back();
  RowOptions options;
  options.plumb = true;
  Rows rows;
  body::update_kinematics(drawn.body.tree, drawn.posture, drawn.kinematics);
  calc_rows(two_hands, drawn.posture, drawn.kinematics, options, rows);
  ASSERT_EQ(rows.n_equality, 7);  // two contacts and one plane
  // Distance of the centre of mass from the vertical plane through both contacts, by hand.
  Vec3 along = two_hands.limbs[1].p_WC - two_hands.limbs[0].p_WC;
  along.z() = 0.0;
  const Vec3 normal = along.normalized().cross(Vec3::UnitZ());
  EXPECT_NEAR(rows.value[6], normal.dot(drawn.kinematics.p_Wcm - two_hands.limbs[0].p_WC), 1e-12);
  body::Jacobian3 J_cm;
  body::calc_com_jacobian(drawn.body.tree, drawn.kinematics, J_cm);
  EXPECT_TRUE(tests::is_near(rows.A.row(6).head(drawn.body.tree.n_dof()), normal.transpose() * J_cm, 1e-12));
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
