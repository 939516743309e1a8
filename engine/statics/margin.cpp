#include "engine/statics/margin.h"

#include "engine/statics/equilibrium.h"

namespace steepwright::statics {

namespace {

// s enters the scaled cones as s / mu: a frictionless contact is taken as this rough. Below the tolerances.
constexpr double kLeastMu = 1e-6;

void load_margin(const StaticsProblem& problem, bool is_capped, StanceProgram& stance) {
  stance.load(problem, -1.0, 1.0, kLeastMu);
  ConeProgram& program = stance.program();
  for (int c = 0; c < static_cast<int>(problem.contacts.size()); ++c) {
    const Contact& contact = problem.contacts[static_cast<std::size_t>(c)];
    for (const HalfSpace& bound : contact.capacity.bounds) {
      ConeRow row = stance.make_row(c, contact.first_point, contact.n_points, bound.a);
      row.h = bound.b_N / stance.unit_N();
      program.add_row(row);
    }
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
      program.set_cone(p, 1.0 / stance.mu(c));
      for (const Vec3& face : contact.capacity.cone_faces) {
        ConeRow row = stance.make_row(c, p, 1, face);
        row.q = 1.0;
        program.add_row(row);
      }
      if (is_capped) program.add_row({p, 1, {1.0 / kLargestForce, 0.0, 0.0}, 0.0, 1.0});
    }
  }
}

}  // namespace

Margin solve_margin(const StaticsProblem& problem, MarginWorkspace& workspace) {
  StanceProgram& stance = workspace.stance_;
  ConeProgram& program = stance.program();
  load_margin(problem, false, stance);
  ConeProgram::Outcome outcome = program.solve();
  Margin margin;
  margin.iterations = program.iterations();
  if (outcome == ConeProgram::Outcome::kUnbounded || outcome == ConeProgram::Outcome::kStalled) {
    load_margin(problem, true, stance);
    outcome = program.solve();
    margin.iterations += program.iterations();
  }
  if (outcome == ConeProgram::Outcome::kInfeasible) {
    margin.status = Status::kInfeasible;
    margin.forces.setZero(problem.n_force());
  } else {
    margin.status = outcome == ConeProgram::Outcome::kSolved ? Status::kSolved : Status::kLimitReached;
    margin.margin_N = program.r() * stance.unit_N();
    stance.read_forces(margin.forces);
  }
  const Residual residual = find_residual(problem, margin.forces);
  margin.residual_N = residual.force_N;
  margin.residual_Nm = residual.moment_Nm;
  // The program minimises -s in body weights.
  margin.force_dual = -stance.unit_N() * stance.force_dual();
  margin.moment_dual = -stance.unit_N() * stance.moment_dual();
  return margin;
}

}  // namespace steepwright::statics
