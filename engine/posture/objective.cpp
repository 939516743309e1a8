#include "engine/posture/objective.h"

#include "engine/posture/loads.h"
#include "engine/posture/rows.h"

#include <cmath>

namespace steepwright::posture {

namespace {

/// Change of the optimum with the torque limits, which move with the hinge's own angle: of the quadratic cost
/// 1/2 (tau / limit)^2 this is -(tau^2 / limit^3) d limit.
void add_limit_gradient(const StanceProblem& problem, const statics::StaticsProblem& statics,
                        const body::TorqueLimits& limits, const statics::TorqueVector& torques,
                        body::DofVector& gradient) {
  const double no_limit_Nm = find_no_limit_torque(*problem.body);
  for (int row = 0; row < statics.n_torque_rows; ++row) {
    const int hinge = find_torque_row(problem, row).hinge;
    const body::TorqueLimit& limit = limits[static_cast<std::size_t>(hinge)];
    const bool is_upper = torques[row] > 0.0;
    const double size = is_upper ? statics.active_upper[row] + statics.passive_upper[row]
                                 : statics.active_lower[row] + statics.passive_lower[row];
    if (size >= no_limit_Nm) continue;
    const double slope =
        is_upper ? limit.d_active_upper + limit.d_passive_upper : limit.d_active_lower + limit.d_passive_lower;
    const double use = torques[row] / size;
    gradient[6 + hinge] -= use * use / size * slope;
  }
}

/// The same for the effort: its torque rows read tau <= rho active + passive with multiplier nu = torque_dual > 0
/// (upper) or < 0 (lower), so the limit moves rho by -|nu| (rho d active + d passive).
void add_effort_limit_gradient(const StanceProblem& problem, const body::TorqueLimits& limits,
                               const statics::Effort& effort, const statics::StaticsProblem& statics,
                               body::DofVector& gradient) {
  for (int row = 0; row < statics.n_torque_rows; ++row) {
    const double nu = effort.torque_dual[row];
    if (nu == 0.0) continue;
    const int hinge = find_torque_row(problem, row).hinge;
    const body::TorqueLimit& limit = limits[static_cast<std::size_t>(hinge)];
    const double slope = nu > 0.0 ? effort.rho * limit.d_active_upper + limit.d_passive_upper
                                  : effort.rho * limit.d_active_lower + limit.d_passive_lower;
    gradient[6 + hinge] -= std::abs(nu) * slope;
  }
}

}  // namespace

double Comfort::add(const body::Posture& posture, body::DofVector& gradient) const {
  if (weight == 0.0) return 0.0;
  const body::DofVector difference = posture.angles - rest;
  gradient.tail(difference.size()) += weight * difference;
  return 0.5 * weight * difference.squaredNorm();
}

double LoadObjective::calc_value(const StanceProblem& problem, const body::Posture& posture,
                                 const body::Kinematics& kinematics, body::DofVector& gradient) {
  make_statics_problem(problem, posture, kinematics, point_model, limits_, statics_);
  statics::DistributionOptions options;
  options.equilibrium = statics::DistributionOptions::Equilibrium::kSoft;
  options.soft_weight = soft_weight;
  distribution_ = statics::solve_distribution(statics_, options, workspace_);
  calc_envelope_gradient(problem, kinematics, statics_, distribution_.forces, distribution_.torque_dual,
                         distribution_.moment_dual, gradient);
  add_limit_gradient(problem, statics_, limits_, distribution_.torques, gradient);
  return distribution_.cost + comfort.add(posture, gradient);
}

double EffortObjective::calc_value(const StanceProblem& problem, const body::Posture& posture,
                                   const body::Kinematics& kinematics, body::DofVector& gradient) {
  make_statics_problem(problem, posture, kinematics, PointModel::kAll, limits_, statics_);
  effort_ = statics::solve_effort(statics_, workspace_, value_share);
  if (effort_.status == statics::Status::kInfeasible) {
    gradient.setZero(problem.body->tree.n_dof());
    return std::numeric_limits<double>::infinity();
  }
  calc_envelope_gradient(problem, kinematics, statics_, effort_.forces, effort_.torque_dual, effort_.moment_dual,
                         gradient);
  add_effort_limit_gradient(problem, limits_, effort_, statics_, gradient);
  return effort_.rho + comfort.add(posture, gradient);
}

double ReachObjective::calc_value(const StanceProblem& problem, const body::Posture& /*posture*/,
                                  const body::Kinematics& kinematics, body::DofVector& gradient) {
  const LimbGoal& goal = problem.limbs[static_cast<std::size_t>(limb_)];
  const Vec3 p_WC = body::find_position(kinematics, goal.segment, goal.p_BC);
  const Vec3 error = p_WC - goal.p_WC;
  body::Jacobian3 J;
  body::calc_point_jacobian(problem.body->tree, kinematics, goal.segment, p_WC, J);
  const double unit_m = kReachUnit * problem.body->scale;
  gradient = J.transpose() * (error / (unit_m * unit_m));
  return 0.5 * error.squaredNorm() / (unit_m * unit_m);
}

double ObstructionObjective::calc_value(const StanceProblem& problem, const body::Posture& /*posture*/,
                                        const body::Kinematics& kinematics, body::DofVector& gradient) {
  return calc_obstruction(problem, kinematics, gradient);
}

}  // namespace steepwright::posture
