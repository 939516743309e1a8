#include "engine/statics/effort.h"

#include "engine/statics/equilibrium.h"

#include <algorithm>
#include <array>
#include <limits>

namespace steepwright::statics {

namespace {

// A limit with less than this share does not decide anything: what an interior point leaves of a zero.
constexpr double kLeastShare = 1e-6;

double find_torque_scale(const StaticsProblem& problem, int j) {
  const double largest =
      std::max(problem.active_lower[j] + problem.passive_lower[j], problem.active_upper[j] + problem.passive_upper[j]);
  return largest > 0.0 ? 1.0 / largest : 1.0;
}

/// Bounds a . f <= rho b and faces c . f <= 0 of every contact, rho >= 0, then the torque rows.
void load_limits(const StaticsProblem& problem, StanceProgram& stance) {
  ConeProgram& program = stance.program();
  for (int c = 0; c < static_cast<int>(problem.contacts.size()); ++c) {
    const Contact& contact = problem.contacts[static_cast<std::size_t>(c)];
    for (const HalfSpace& bound : contact.capacity.bounds) {
      ConeRow row = stance.make_row(c, contact.first_point, contact.n_points, bound.a);
      row.q = -bound.b_N / stance.unit_N();
      program.add_row(row);
    }
  }
  program.add_row({0, 0, {}, -1.0, 0.0});
  for (int c = 0; c < static_cast<int>(problem.contacts.size()); ++c) {
    const Contact& contact = problem.contacts[static_cast<std::size_t>(c)];
    for (const Vec3& face : contact.capacity.cone_faces)
      for (int p = 0; p < contact.n_points; ++p) program.add_row(stance.make_row(c, contact.first_point + p, 1, face));
  }
  for (int j = 0; j < problem.n_torque_rows; ++j) {
    const double scale = find_torque_scale(problem, j);
    const double offset = problem.torque_offset[j];
    double* row = program.add_pair(-scale * problem.active_upper[j], scale * (problem.passive_upper[j] - offset),
                                   -scale * problem.active_lower[j], scale * (problem.passive_lower[j] + offset));
    stance.fill_torque_row(j, scale * stance.unit_N(), row);
  }
}

void add_share(BoundedVector<LimitShare, 16>& limits, const LimitShare& limit) {
  if (limit.share < kLeastShare) return;
  if (!limits.full()) {
    limits.push_back(limit);
  } else if (limit.share > limits.back().share) {
    limits.back() = limit;
  } else {
    return;
  }
  for (std::size_t i = limits.size() - 1; i > 0 && limits[i].share > limits[i - 1].share; --i)
    std::swap(limits[i], limits[i - 1]);
}

void read_limits(const StaticsProblem& problem, const ConeProgram& program, double unit_N, Effort& effort) {
  int row = 0;
  for (int c = 0; c < static_cast<int>(problem.contacts.size()); ++c) {
    const auto& bounds = problem.contacts[static_cast<std::size_t>(c)].capacity.bounds;
    for (int k = 0; k < static_cast<int>(bounds.size()); ++k, ++row)
      add_share(effort.limits, {LimitShare::Kind::kCapacityBound, c, k,
                                program.row_dual(row) * bounds[static_cast<std::size_t>(k)].b_N / unit_N});
  }
  for (int j = 0; j < problem.n_torque_rows; ++j) {
    const double scale = find_torque_scale(problem, j);
    const double upper = scale * program.upper_dual(j);
    const double lower = scale * program.lower_dual(j);
    effort.torque_dual[j] = upper - lower;
    add_share(effort.limits, {LimitShare::Kind::kTorqueUpper, j, 0, upper * problem.active_upper[j]});
    add_share(effort.limits, {LimitShare::Kind::kTorqueLower, j, 0, lower * problem.active_lower[j]});
  }
}

}  // namespace

Effort solve_effort(const StaticsProblem& problem, EffortWorkspace& workspace, double value_share) {
  StanceProgram& stance = workspace.stance_;
  stance.load(problem, 1.0, 1.0, 0.0);
  load_limits(problem, stance);
  ConeProgram& program = stance.program();
  const ConeProgram::Outcome outcome = program.solve(value_share);

  Effort effort;
  effort.iterations = program.iterations();
  effort.torque_dual.setZero(problem.n_torque_rows);
  if (outcome == ConeProgram::Outcome::kInfeasible) {
    effort.status = Status::kInfeasible;
    effort.rho = std::numeric_limits<double>::infinity();
    effort.forces.setZero(problem.n_force());
  } else {
    effort.status = outcome == ConeProgram::Outcome::kSolved ? Status::kSolved : Status::kLimitReached;
    effort.rho = std::max(0.0, program.r());
    stance.read_forces(effort.forces);
    read_limits(problem, program, stance.unit_N(), effort);
  }
  calc_torques(problem, effort.forces, effort.torques);
  const Residual residual = find_residual(problem, effort.forces);
  effort.residual_N = residual.force_N;
  effort.residual_Nm = residual.moment_Nm;
  effort.force_dual = stance.force_dual();
  effort.moment_dual = stance.moment_dual();
  return effort;
}

}  // namespace steepwright::statics
