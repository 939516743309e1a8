#include "engine/statics/stance_program.h"

#include <algorithm>
#include <cmath>

namespace steepwright::statics {

ContactAxes find_contact_axes(const Vec3& normal) {
  const Tangents tangents = find_tangents(normal);
  return {normal, tangents.t1, tangents.t2};
}

void StanceProgram::load(const StaticsProblem& problem, double cost, double mu_factor, double least_mu) {
  problem_ = &problem;
  unit_N_ = find_force_unit(problem);
  program_.resize(problem.n_points(), cost);
  program_.set_target(2, problem.weight_N / unit_N_);
  for (std::size_t c = 0; c < problem.contacts.size(); ++c) {
    const Contact& contact = problem.contacts[c];
    axes_[c] = find_contact_axes(contact.capacity.normal);
    mu_[c] = std::max(least_mu, mu_factor * contact.capacity.mu);
    program_.add_block(contact.first_point, contact.n_points);
    const std::array<Vec3, 3> columns = {axes_[c].n, mu_[c] * axes_[c].t1, mu_[c] * axes_[c].t2};
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
      const Vec3 arm = (problem.points[static_cast<std::size_t>(p)] - problem.p_Wcm) / problem.length_m;
      for (int i = 0; i < 3; ++i) {
        const Vec3& column = columns[static_cast<std::size_t>(i)];
        const Vec3 moment = arm.cross(column);
        for (int k = 0; k < 3; ++k) {
          program_.equation(k)[3 * p + i] = column[k];
          program_.equation(k + 3)[3 * p + i] = moment[k];
        }
      }
    }
  }
}

ConeRow StanceProgram::make_row(int contact, int first_point, int n_points, const Vec3& a_W) const {
  const ContactAxes& axes = axes_[static_cast<std::size_t>(contact)];
  const double mu = mu_[static_cast<std::size_t>(contact)];
  ConeRow row;
  row.first_point = first_point;
  row.n_points = n_points;
  row.a = {axes.n.dot(a_W), mu * axes.t1.dot(a_W), mu * axes.t2.dot(a_W)};
  return row;
}

void StanceProgram::fill_torque_row(int j, double scale, double* row) const {
  for (std::size_t c = 0; c < problem_->contacts.size(); ++c) {
    const Contact& contact = problem_->contacts[c];
    const ContactAxes& axes = axes_[c];
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
      const Vec3 t(problem_->torque_map(j, 3 * p), problem_->torque_map(j, 3 * p + 1),
                   problem_->torque_map(j, 3 * p + 2));
      row[3 * p] = scale * axes.n.dot(t);
      row[3 * p + 1] = scale * mu_[c] * axes.t1.dot(t);
      row[3 * p + 2] = scale * mu_[c] * axes.t2.dot(t);
    }
  }
}

void StanceProgram::read_forces(ForceVector& forces) const {
  forces.resize(problem_->n_force());
  for (std::size_t c = 0; c < problem_->contacts.size(); ++c) {
    const Contact& contact = problem_->contacts[c];
    const ContactAxes& axes = axes_[c];
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p)
      forces.segment<3>(3 * p) = unit_N_ * (program_.v(3 * p) * axes.n + mu_[c] * program_.v(3 * p + 1) * axes.t1 +
                                            mu_[c] * program_.v(3 * p + 2) * axes.t2);
  }
}

Vec3 StanceProgram::force_dual() const { return Vec3(program_.y(0), program_.y(1), program_.y(2)) / unit_N_; }

Vec3 StanceProgram::moment_dual() const {
  return Vec3(program_.y(3), program_.y(4), program_.y(5)) / (unit_N_ * problem_->length_m);
}

}  // namespace steepwright::statics
