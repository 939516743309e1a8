// Load distribution: optimality, gradients, warm start, soft equilibrium.

#include "engine/statics/distribution.h"

#include "tests/statics/stances.h"
#include "tests/support/malloc_guard.h"
#include "tests/support/matchers.h"

#include <gtest/gtest.h>

#include <memory>

namespace steepwright::tests {
namespace {

using statics::Distribution;
using statics::DistributionOptions;
using statics::DistributionWorkspace;
using statics::Status;
using Equilibrium = DistributionOptions::Equilibrium;

/// Largest violation of cones and faces over all points, share of the weight.
double find_worst_cone(const StaticsProblem& problem, const statics::ForceVector& forces) {
  double worst = 0.0;
  for (const Contact& contact : problem.contacts)
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p)
      worst = std::max(worst, statics::find_cone_violation(contact.capacity, forces.segment<3>(3 * p)));
  return worst / problem.weight_N;
}

/// Gradient of the Lagrangian at the forces of point p: activation + torque map^T torque_dual + duals of equilibrium.
/// It must be a force that the cone pushes back: -gradient in the normal cone at f_p, here tested through
/// gradient in K* and gradient . f = 0 (no faces, no bounds).
struct Complementarity {
  double dual_violation = 0.0;
  double product = 0.0;
};
Complementarity find_complementarity(const StaticsProblem& problem, const Distribution& d) {
  Complementarity worst;
  for (const Contact& contact : problem.contacts) {
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
      const Vec3 f = d.forces.segment<3>(3 * p);
      Vec3 gradient = contact.n_points * f / (contact.scale_N * contact.scale_N);
      for (int j = 0; j < problem.n_torque_rows; ++j)
        gradient += d.torque_dual[j] * problem.torque_map.block<1, 3>(j, 3 * p).transpose();
      const Vec3 arm = problem.points[static_cast<std::size_t>(p)] - problem.p_Wcm;
      gradient += d.force_dual + d.moment_dual.cross(arm);
      gradient *= problem.weight_N;
      // K* of the cone mu is the cone 1 / mu.
      const Vec3& n = contact.capacity.normal;
      const double g_n = gradient.dot(n);
      const double g_t = (gradient - g_n * n).norm();
      worst.dual_violation = std::max(worst.dual_violation, contact.capacity.mu * g_t - g_n);
      worst.product = std::max(worst.product, std::abs(gradient.dot(f) / problem.weight_N));
    }
  }
  return worst;
}

TEST(Distribution, MeetsTheOptimalityConditionsOfAThousandWholeBodies) {
  RandomStream random(11);
  auto workspace = std::make_unique<DistributionWorkspace>();
  int solved = 0;
  for (int i = 0; i < 1000; ++i) {
    const StaticsProblem problem = make_full(random);
    for (const auto equilibrium : {Equilibrium::kExact, Equilibrium::kSoft}) {
      DistributionOptions options;
      options.equilibrium = equilibrium;
      const Distribution d = solve_distribution(problem, options, *workspace);
      ASSERT_NE(d.status, Status::kLimitReached) << i;
      if (d.status != Status::kSolved) continue;
      solved += equilibrium == Equilibrium::kExact ? 1 : 0;
      ASSERT_LT(find_worst_cone(problem, d.forces), 2e-9) << i;
      const Complementarity kkt = find_complementarity(problem, d);
      ASSERT_LT(kkt.dual_violation, 1e-6 * (1.0 + d.cost)) << i;
      ASSERT_LT(kkt.product, 1e-6 * (1.0 + d.cost)) << i;
      if (equilibrium == Equilibrium::kExact) {
        ASSERT_LT(d.residual_N, 1e-8 * problem.weight_N);
        ASSERT_LT(d.residual_Nm, 1e-8 * problem.weight_N);
      }
    }
  }
  EXPECT_GT(solved, 800);  // about 5 in 6 stances of S4 are feasible
}

TEST(Distribution, GivesTheSameForcesWarmAndCold) {
  RandomStream random(12);
  auto warm = std::make_unique<DistributionWorkspace>();
  auto cold = std::make_unique<DistributionWorkspace>();
  for (int i = 0; i < 200; ++i) {
    StaticsProblem problem = make_full(random);
    for (int step = 0; step < 5; ++step) {
      problem.p_Wcm += Vec3(0.003, -0.002, 0.001);
      cold->reset();
      const Distribution a = solve_distribution(problem, {}, *warm);
      const Distribution b = solve_distribution(problem, {}, *cold);
      ASSERT_EQ(a.status, b.status);
      if (a.status == Status::kSolved) {
        ASSERT_TRUE(is_near(a.forces, b.forces, 2e-5 * problem.weight_N, "N")) << i;
        ASSERT_NEAR(a.cost, b.cost, 1e-7 * (1.0 + b.cost));
      }
    }
  }
}

TEST(Distribution, IsDeterministic) {
  RandomStream random(13);
  const StaticsProblem problem = make_full(random);
  auto a = std::make_unique<DistributionWorkspace>();
  auto b = std::make_unique<DistributionWorkspace>();
  const Distribution first = solve_distribution(problem, {}, *a);
  const Distribution second = solve_distribution(problem, {}, *b);
  EXPECT_EQ(first.forces, second.forces);
  EXPECT_EQ(first.cost, second.cost);
}

TEST(Distribution, KeepsBoundsAndTorquesBelowTheEffortAsked) {
  RandomStream random(14);
  auto workspace = std::make_unique<DistributionWorkspace>();
  int solved = 0;
  for (int i = 0; i < 300; ++i) {
    const StaticsProblem problem = make_full(random);
    DistributionOptions options;
    options.effort_bound = 1.2;
    const Distribution d = solve_distribution(problem, options, *workspace);
    ASSERT_NE(d.status, Status::kLimitReached);
    if (d.status != Status::kSolved) continue;
    ++solved;
    for (const Contact& contact : problem.contacts) {
      Vec3 sum = Vec3::Zero();
      for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p)
        sum += d.forces.segment<3>(3 * p);
      ASSERT_LT(find_capacity_use(contact.capacity, sum), 1.2 + 1e-8);
    }
    for (int j = 0; j < problem.n_torque_rows; ++j) {
      ASSERT_LT(d.torques[j], 1.2 * problem.active_upper[j] + problem.passive_upper[j] + 1e-6);
      ASSERT_GT(d.torques[j], -1.2 * problem.active_lower[j] - problem.passive_lower[j] - 1e-6);
    }
  }
  EXPECT_GT(solved, 100);
}

// Envelope theorem: the duals are the cost's derivatives (central differences, step h: error of order h^2).
class DistributionGradient : public testing::TestWithParam<Equilibrium> {};

TEST_P(DistributionGradient, FollowsFromTheDuals) {
  RandomStream random(15);
  auto workspace = std::make_unique<DistributionWorkspace>();
  int checked = 0;
  for (int i = 0; i < 60; ++i) {
    StaticsProblem problem = make_full(random);
    DistributionOptions options;
    options.equilibrium = GetParam();
    options.effort_bound = i % 2 == 0 ? 0.0 : 1.5;
    const Distribution d = solve_distribution(problem, options, *workspace);
    if (d.status != Status::kSolved) continue;
    const auto cost_of = [&](auto&& change, double h) {
      StaticsProblem changed = problem;
      change(changed, h);
      return solve_distribution(changed, options, *workspace);
    };
    const auto check = [&](auto&& change, double h, double expected, const char* what) {
      const Distribution plus = cost_of(change, h);
      const Distribution minus = cost_of(change, -h);
      if (plus.status != Status::kSolved || minus.status != Status::kSolved) return;
      const double slope = (plus.cost - minus.cost) / (2.0 * h);
      ++checked;
      EXPECT_NEAR(slope, expected, 2e-4 * (std::abs(expected) + 0.1 * d.cost)) << what << " in problem " << i;
    };
    const int row = i % problem.n_torque_rows;
    check([&](StaticsProblem& p, double h) { p.torque_offset[row] += h; }, 1e-2, d.torque_dual[row], "torque offset");
    check([&](StaticsProblem& p, double h) { p.torque_map(row, 3) += h; }, 1e-4, d.torque_dual[row] * d.forces[3],
          "torque map");
    // (p - c) x f: moving c by e changes the moment by -e x sum f, moving point p by e x f_p.
    Vec3 sum = Vec3::Zero();
    for (int p = 0; p < problem.n_points(); ++p) sum += d.forces.segment<3>(3 * p);
    for (int axis = 0; axis < 3; ++axis) {
      const Vec3 e = Vec3::Unit(axis);
      check([&](StaticsProblem& p, double h) { p.p_Wcm += h * e; }, 1e-4, -d.moment_dual.dot(e.cross(sum)),
            "centre of mass");
      check([&](StaticsProblem& p, double h) { p.points[2] += h * e; }, 1e-4,
            d.moment_dual.dot(e.cross(d.forces.segment<3>(6))), "contact point");
    }
    // The soft residual is relative to the weight as well.
    double by_weight = -d.force_dual.z();
    if (GetParam() == Equilibrium::kSoft)
      by_weight -= options.soft_weight * (d.residual_N * d.residual_N + d.residual_Nm * d.residual_Nm) /
                   std::pow(problem.weight_N, 3);
    check([&](StaticsProblem& p, double h) { p.weight_N += h; }, 1e-2, by_weight, "weight");
  }
  EXPECT_GT(checked, 200);
}

INSTANTIATE_TEST_SUITE_P(Equilibrium, DistributionGradient, testing::Values(Equilibrium::kExact, Equilibrium::kSoft),
                         [](const auto& tested) { return tested.param == Equilibrium::kExact ? "exact" : "soft"; });

TEST(Distribution, NeverRisesWhenFrictionGrows) {
  RandomStream random(16);
  auto workspace = std::make_unique<DistributionWorkspace>();
  for (int i = 0; i < 200; ++i) {
    StaticsProblem problem = make_full(random);
    const Distribution before = solve_distribution(problem, {}, *workspace);
    for (Contact& contact : problem.contacts) contact.capacity.mu *= 1.2;
    const Distribution after = solve_distribution(problem, {}, *workspace);
    if (before.status != Status::kSolved) continue;
    ASSERT_EQ(after.status, Status::kSolved);
    ASSERT_LE(after.cost, before.cost * (1.0 + 1e-9));
  }
}

TEST(Distribution, AllocatesNothing) {
  RandomStream random(17);
  const StaticsProblem problem = make_full(random);
  auto workspace = std::make_unique<DistributionWorkspace>();
  const std::size_t before = allocation_count();
  for (const auto equilibrium : {Equilibrium::kExact, Equilibrium::kSoft}) {
    DistributionOptions options;
    options.equilibrium = equilibrium;
    const Distribution d = solve_distribution(problem, options, *workspace);
    EXPECT_NE(d.status, Status::kLimitReached);
  }
  EXPECT_EQ(allocation_count(), before);
}

}  // namespace
}  // namespace steepwright::tests
