#include "engine/statics/equilibrium.h"

#include "engine/statics/dense.h"

#include <algorithm>

namespace steepwright::statics {

void calc_equilibrium_rows(const StaticsProblem& problem, EquilibriumRows& equilibrium) {
  auto& rows = equilibrium.rows;
  for (auto& row : rows) std::fill_n(row.begin(), problem.n_force(), 0.0);
  for (int p = 0; p < problem.n_points(); ++p) {
    const Vec3 arm = (problem.points[static_cast<std::size_t>(p)] - problem.p_Wcm) / problem.length_m;
    const std::size_t x = static_cast<std::size_t>(3 * p);
    rows[0][x] = rows[1][x + 1] = rows[2][x + 2] = 1.0;
    rows[3][x + 1] = -arm.z();
    rows[3][x + 2] = arm.y();
    rows[4][x] = arm.z();
    rows[4][x + 2] = -arm.x();
    rows[5][x] = -arm.y();
    rows[5][x + 1] = arm.x();
  }
}

double find_force_unit(const StaticsProblem& problem) { return problem.weight_N > 0.0 ? problem.weight_N : 1.0; }

Residual find_residual(const StaticsProblem& problem, const ForceVector& forces) {
  Vec3 force(0.0, 0.0, -problem.weight_N);
  Vec3 moment = Vec3::Zero();
  for (int p = 0; p < problem.n_points(); ++p) {
    const Vec3 f = forces.segment<3>(3 * p);
    force += f;
    moment += (problem.points[static_cast<std::size_t>(p)] - problem.p_Wcm).cross(f);
  }
  return {force.norm(), moment.norm()};
}

void calc_torques(const StaticsProblem& problem, const ForceVector& forces, TorqueVector& torques) {
  torques.resize(problem.n_torque_rows);
  for (int j = 0; j < problem.n_torque_rows; ++j)
    torques[j] = problem.torque_offset[j] +
                 dot(problem.torque_map.data() + j * problem.torque_map.cols(), forces.data(), problem.n_force());
}

double find_cone_violation(const CapacitySet& set, const Vec3& f_C_W) {
  const double f_n = f_C_W.dot(set.normal);
  const double f_t = (f_C_W - f_n * set.normal).norm();
  double violation = std::max({0.0, -f_n, f_t - set.mu * f_n});
  for (const Vec3& c : set.cone_faces) violation = std::max(violation, c.dot(f_C_W));
  return violation;
}

}  // namespace steepwright::statics
