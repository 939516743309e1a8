#include "engine/posture/objective.h"

#include "tests/support/matchers.h"
#include "tests/support/stances.h"

#include <gtest/gtest.h>

namespace steepwright::posture {
namespace {

using tests::is_near;

double value_at(Objective& objective, const StanceProblem& problem, const body::Posture& posture,
                body::DofVector& gradient) {
  body::Kinematics kinematics;
  body::update_kinematics(problem.body->tree, posture, kinematics);
  return objective.calc_value(problem, posture, kinematics, gradient);
}

/// Central differences through Posture::step.
body::DofVector difference_gradient(Objective& objective, const StanceProblem& problem, const body::Posture& posture,
                                    double step) {
  const int n = problem.body->tree.n_dof();
  body::DofVector gradient(n), unused(n);
  for (int i = 0; i < n; ++i) {
    body::DofVector d = body::DofVector::Zero(n);
    d[i] = step;
    body::Posture ahead = posture;
    ahead.step(d);
    body::Posture behind = posture;
    behind.step(-d);
    gradient[i] =
        (value_at(objective, problem, ahead, unused) - value_at(objective, problem, behind, unused)) / (2 * step);
  }
  return gradient;
}

struct Fixture {
  body::Body body = body::make_body({});
  wall::Wall wall = tests::make_plane_wall(rad_from_deg(25.0));
  RandomStream random{11};
};

// The envelope theorem's gradient against central differences of the optimum.
TEST(LoadObjective, GradientIsConsistentWithDifferences) {
  Fixture fixture;
  for (int i = 0; i < 5; ++i) {
    const tests::DrawnStance drawn = tests::draw_stance(fixture.random, fixture.body, fixture.wall);
    LoadObjective objective;
    objective.soft_weight = 1e3;  // the stiffer the penalty, the larger the differences' own error
    body::DofVector gradient;
    value_at(objective, drawn.problem, drawn.solution, gradient);
    const body::DofVector expected = difference_gradient(objective, drawn.problem, drawn.solution, 1e-6);
    EXPECT_TRUE(is_near(gradient, expected, 2e-4 * (1.0 + expected.norm()))) << "stance " << i;
  }
}

// The effort has kinks (it is the optimum of a linear program), so one-sided slopes may differ where a limit joins or
// leaves: the directional derivative along the gradient must agree, on all but a few stances.
TEST(EffortObjective, GradientIsConsistentWithDifferences) {
  Fixture fixture;
  int compared = 0;
  int agreed = 0;
  for (int i = 0; i < 20; ++i) {
    const tests::DrawnStance drawn = tests::draw_stance(fixture.random, fixture.body, fixture.wall);
    EffortObjective objective;
    body::DofVector gradient, unused;
    const double rho = value_at(objective, drawn.problem, drawn.solution, gradient);
    if (!std::isfinite(rho)) continue;
    constexpr double kStep = 1e-4;
    const body::DofVector direction = gradient.normalized();
    body::Posture ahead = drawn.solution;
    ahead.step(kStep * direction);
    body::Posture behind = drawn.solution;
    behind.step(-kStep * direction);
    const double slope =
        (value_at(objective, drawn.problem, ahead, unused) - value_at(objective, drawn.problem, behind, unused)) /
        (2.0 * kStep);
    ++compared;
    if (std::abs(slope - gradient.norm()) < 0.02 * gradient.norm()) ++agreed;
  }
  EXPECT_GE(compared, 8);
  EXPECT_GE(agreed, compared - 2);
}

TEST(ReachObjective, GradientIsConsistentWithDifferences) {
  Fixture fixture;
  const tests::DrawnStance drawn = tests::draw_stance(fixture.random, fixture.body, fixture.wall);
  body::Posture posture = drawn.solution;
  posture.step(0.05 * body::DofVector::Ones(fixture.body.tree.n_dof()));
  ReachObjective objective(1);
  body::DofVector gradient;
  value_at(objective, drawn.problem, posture, gradient);
  EXPECT_TRUE(is_near(gradient, difference_gradient(objective, drawn.problem, posture, 1e-6), 1e-5));
}

TEST(ObstructionObjective, GradientIsConsistentWithDifferences) {
  Fixture fixture;
  const tests::DrawnStance drawn = tests::draw_stance(fixture.random, fixture.body, fixture.wall);
  body::Posture posture = drawn.solution;
  posture.p_WB -= 0.25 * fixture.wall.strips[0].X_WP.R.col(2);  // push the body into the panel
  ObstructionObjective objective;
  body::DofVector gradient;
  EXPECT_GT(value_at(objective, drawn.problem, posture, gradient), 0.0);
  const body::DofVector expected = difference_gradient(objective, drawn.problem, posture, 1e-6);
  EXPECT_TRUE(is_near(gradient, expected, 1e-4 * (1.0 + expected.norm())));
}

}  // namespace
}  // namespace steepwright::posture
