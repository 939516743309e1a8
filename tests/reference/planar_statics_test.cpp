// Rigid planar statics of a body on an overhang, derived by hand: feet lumped at one point, hands at another, both on
// the wall plane. theta = overhang from vertical, h = distance foot-hand along the wall, s = along-wall height of the
// centre of mass over the feet, d = its distance out from the wall, weight W = 1. Moments about the feet and sums along
// and across the wall give
//   N_h = (s sin theta + d cos theta) / h          pull of the wall on the hands
//   N_f = sin theta - N_h                          the same on the feet, negative: they push
//   T_h + T_f = cos theta                          along the wall; the split is free
// The real solver sees two point contacts in space with cones wide enough not to matter, axis along the wall.

#include "engine/statics/distribution.h"
#include "engine/statics/effort.h"
#include "engine/statics/friction.h"
#include "tests/statics/stances.h"

#include <gtest/gtest.h>

#include <memory>

namespace steepwright::tests {
namespace {

using statics::Distribution;
using statics::DistributionWorkspace;
using statics::Status;

struct Body {
  double h = 1.60, s = 0.90, d = 0.30;
};

struct Wall {
  Vec3 up, in;  // along the wall, and from the climber into it
  explicit Wall(double overhang)
      : up(0.0, -std::sin(overhang), std::cos(overhang)), in(0.0, std::cos(overhang), std::sin(overhang)) {}
};

StaticsProblem make_planar(double overhang, const Body& body, double mu_foot = 1e3, double mu_hand = 1e3) {
  const Wall wall(overhang);
  StaticsProblem problem;
  problem.weight_N = 1.0;
  add_contact(problem, Vec3::Zero(), wall.up, mu_foot);
  add_contact(problem, body.h * wall.up, wall.up, mu_hand);
  problem.p_Wcm = body.s * wall.up - body.d * wall.in;
  return problem;
}

struct Row {
  double theta_deg, N_h, N_f, T;
};
// Rounded to three places.
constexpr Row kTable[] = {{0, 0.188, -0.188, 1.000}, {10, 0.282, -0.109, 0.985}, {20, 0.369, -0.027, 0.940},
                          {25, 0.408, 0.015, 0.906}, {30, 0.444, 0.056, 0.866},  {40, 0.505, 0.138, 0.766},
                          {45, 0.530, 0.177, 0.707}, {50, 0.551, 0.215, 0.643},  {60, 0.581, 0.285, 0.500}};

class PlanarStatics : public testing::TestWithParam<Row> {};

TEST_P(PlanarStatics, ForcesAcrossAndAlongTheWallMatchTheClosedForm) {
  const Row row = GetParam();
  const double theta = rad_from_deg(row.theta_deg);
  const Body body;
  const Wall wall(theta);
  auto workspace = std::make_unique<DistributionWorkspace>();
  const Distribution d = solve_distribution(make_planar(theta, body), {}, *workspace);
  ASSERT_EQ(d.status, Status::kSolved);
  const double N_f = d.forces.segment<3>(0).dot(wall.in);
  const double N_h = d.forces.segment<3>(3).dot(wall.in);
  const double T = (d.forces.segment<3>(0) + d.forces.segment<3>(3)).dot(wall.up);
  const double expected = (body.s * std::sin(theta) + body.d * std::cos(theta)) / body.h;
  EXPECT_NEAR(N_h, expected, 1e-9);
  EXPECT_NEAR(N_f, std::sin(theta) - expected, 1e-9);
  EXPECT_NEAR(T, std::cos(theta), 1e-9);
  EXPECT_NEAR(N_h, row.N_h, 5.1e-4);
  EXPECT_NEAR(N_f, row.N_f, 5.1e-4);
  EXPECT_NEAR(T, row.T, 5.1e-4);
  // Horizontal pull of the hands: H = (x_c - V h sin theta) / (h cos theta), x_c the centre's distance before the feet.
  const double V_h = d.forces[5];
  const double x_c = body.s * std::sin(theta) + body.d * std::cos(theta);
  EXPECT_NEAR(d.forces[4], (x_c - V_h * body.h * std::sin(theta)) / (body.h * std::cos(theta)), 1e-9);
}

INSTANTIATE_TEST_SUITE_P(Overhang, PlanarStatics, testing::ValuesIn(kTable), [](const auto& tested) {
  return std::to_string(static_cast<int>(tested.param.theta_deg)) + "_degrees";
});

TEST(PlanarStaticsBorders, FeetTurnFromPushToPullWhereTheTangentIsDOverHMinusS) {
  const Body body;
  const double theta0 = std::atan(body.d / (body.h - body.s));
  EXPECT_NEAR(deg_from_rad(theta0), 23.2, 0.05);
  auto workspace = std::make_unique<DistributionWorkspace>();
  for (const double step : {-1e-4, 0.0, 1e-4}) {
    const Wall wall(theta0 + step);
    const Distribution d = solve_distribution(make_planar(theta0 + step, body), {}, *workspace);
    const double N_f = d.forces.segment<3>(0).dot(wall.in);
    if (step == 0.0)
      EXPECT_NEAR(N_f, 0.0, 1e-9);
    else
      EXPECT_EQ(N_f > 0.0, step > 0.0);
  }
}

TEST(PlanarStaticsBorders, SplitAlongTheWallIsFreeAndFollowsTheActivationScales) {
  const double theta = rad_from_deg(30.0);
  const Wall wall(theta);
  auto workspace = std::make_unique<DistributionWorkspace>();
  StaticsProblem problem = make_planar(theta, {});
  problem.contacts[0].scale_N = 2.0;  // feet twice as strong: least squares gives them four times the share
  const Distribution d = solve_distribution(problem, {}, *workspace);
  EXPECT_NEAR(d.forces.segment<3>(0).dot(wall.up), 0.8 * std::cos(theta), 1e-9);
  EXPECT_NEAR(d.forces.segment<3>(3).dot(wall.up), 0.2 * std::cos(theta), 1e-9);
}

// Flat edges: the feet cut loose when N_f > mu_f T_f for every split, the hands slip when N_h > mu_h T_h. With one mu
// on both, T_h + T_f = cos theta and the pulls add: it holds while N_h + |N_f| <= mu cos theta, hence the needed mu.
TEST(PlanarStaticsBorders, FlatEdgesNeedFrictionForBothPulls) {
  const Body body;
  for (const Row& row : kTable) {
    const double theta = rad_from_deg(row.theta_deg);
    const double N_h = (body.s * std::sin(theta) + body.d * std::cos(theta)) / body.h;
    const double N_f = std::sin(theta) - N_h;
    const double mu_needed = (N_h + std::abs(N_f)) / std::cos(theta);
    auto workspace = std::make_unique<statics::FrictionWorkspace>();
    const statics::NeededFriction needed = solve_needed_friction(make_planar(theta, body, 0.5, 0.5), {}, *workspace);
    ASSERT_EQ(needed.status, Status::kSolved);
    EXPECT_NEAR(needed.factor, mu_needed / 0.5, 1e-6 * needed.factor) << row.theta_deg;
  }
}

TEST(PlanarStaticsBorders, FeetCutLooseWhereNormalPullExceedsTheirFriction) {
  // Hands can do anything but carry along the wall (mu of 1e3 about the wall's normal is no limit either); two
  // faces keep T_h = 0, so T_f = cos theta and the feet hold while N_f <= mu_f cos theta.
  const Body body;
  const double theta = rad_from_deg(45.0);
  const Wall wall(theta);
  const double N_f = std::sin(theta) - (body.s * std::sin(theta) + body.d * std::cos(theta)) / body.h;
  const double mu_border = N_f / std::cos(theta);
  auto workspace = std::make_unique<DistributionWorkspace>();
  for (const double share : {0.999, 1.001}) {
    StaticsProblem problem = make_planar(theta, body, mu_border * share, 1e3);
    problem.contacts[1].capacity.normal = wall.in;
    problem.contacts[1].capacity.cone_faces.push_back(wall.up);
    problem.contacts[1].capacity.cone_faces.push_back(-wall.up);
    const Distribution d = solve_distribution(problem, {}, *workspace);
    EXPECT_EQ(d.status == Status::kSolved, share > 1.0) << share;
  }
}

TEST(PlanarStaticsBorders, HandsPullInProportionToTheDistanceFromAVerticalWall) {
  auto workspace = std::make_unique<DistributionWorkspace>();
  const auto pull_at = [&](double distance) {
    const Distribution d = solve_distribution(make_planar(0.0, {1.60, 0.90, distance}), {}, *workspace);
    return d.forces[4];
  };
  EXPECT_NEAR(pull_at(0.40) / pull_at(0.25), 0.40 / 0.25, 1e-8);
}

TEST(PlanarStaticsBorders, TheHandThatRemainsPullsTwiceAsHard) {
  // Two hands on one point share the pull; with one released it doubles.
  auto workspace = std::make_unique<DistributionWorkspace>();
  StaticsProblem problem = make_planar(0.0, {});
  add_contact(problem, problem.points[1], problem.contacts[1].capacity.normal, 1e3);
  const Distribution both = solve_distribution(problem, {}, *workspace);
  const Distribution one = solve_distribution(make_planar(0.0, {}), {}, *workspace);
  ASSERT_EQ(both.status, Status::kSolved);
  EXPECT_NEAR(one.forces[4], 2.0 * both.forces[4], 1e-9);
}

}  // namespace
}  // namespace steepwright::tests
