#include "engine/posture/contact_solver.h"

#include <algorithm>
#include <cmath>

namespace steepwright::posture {

namespace {

struct Error {
  double contact = 0.0;
  double one_sided = 0.0;
};

Error find_error(const Rows& rows) {
  Error error;
  for (int r = 0; r < rows.n_equality; ++r) error.contact = std::max(error.contact, std::abs(rows.value[r]));
  for (int r = rows.n_equality; r < rows.n(); ++r) error.one_sided = std::max(error.one_sided, -rows.value[r]);
  error.one_sided = std::max(error.one_sided, -rows.least_left_out);
  return error;
}

}  // namespace

void cap_step(const ContactParams& params, body::DofVector& step) {
  const double shift = step.head<3>().norm();
  const double turn = step.tail(step.size() - 3).cwiseAbs().maxCoeff();
  const double scale =
      std::min({1.0, params.max_shift / std::max(shift, 1e-12), params.max_turn / std::max(turn, 1e-12)});
  if (scale < 1.0) step *= scale;
}

ContactResult solve_contacts(const StanceProblem& problem, const ContactParams& params, body::Posture& posture,
                             PostureWorkspace& ws) {
  const body::Tree& tree = problem.body->tree;
  body::DofVector wish = body::DofVector::Zero(tree.n_dof());
  ContactResult result;
  double best = 1e30;
  int best_iteration = 0;
  for (result.iterations = 0;; ++result.iterations) {
    body::update_poses(tree, posture, ws.kinematics);
    if (params.rows.plumb || params.rows.balance != nullptr) body::update_mass_sums(tree, ws.kinematics);
    calc_rows(problem, posture, ws.kinematics, params.rows, ws.rows);
    const Error error = find_error(ws.rows);
    result.contact_error = error.contact;
    result.one_sided_error = error.one_sided;
    if (error.contact <= params.contact_tolerance && error.one_sided <= params.one_sided_tolerance) {
      body::update_mass_sums(tree, ws.kinematics);
      result.status = ContactStatus::kMet;
      return result;
    }
    const double worst = std::max(error.contact, error.one_sided);
    if (worst < 0.8 * best) {
      best = worst;
      best_iteration = result.iterations;
    }
    if (result.iterations - best_iteration >= params.stall_iterations) {
      result.status = ContactStatus::kStalled;
      return result;
    }
    if (result.iterations >= params.max_iterations) {
      result.status = ContactStatus::kLimitReached;
      return result;
    }
    StepParams step_params;
    step_params.damping = worst > 0.02 ? params.damping : 1e-9;
    body::DofVector step = solve_step(tree, posture, ws.rows, wish, step_params, ws.step);
    cap_step(params, step);
    take_step(*problem.body, step, posture);
  }
}

}  // namespace steepwright::posture
