#pragma once

/// From a stance to its cone program and back: the part that effort, margin and needed friction share.
///
/// Scaled forces: v_p = (f_n, f_t1 / mu, f_t2 / mu) / weight, so that every Coulomb cone is the same round cone and
/// mu = 0 needs no special case (the tangential unknowns then move nothing).

#include "engine/statics/cone_program.h"
#include "engine/statics/equilibrium.h"
#include "engine/statics/problem.h"

#include <array>

namespace steepwright::statics {

/// Normal and tangents of a contact (find_tangents).
struct ContactAxes {
  Vec3 n = Vec3::UnitZ(), t1 = Vec3::UnitX(), t2 = Vec3::UnitY();
};
[[nodiscard]] ContactAxes find_contact_axes(const Vec3& normal);

class StanceProgram {
 public:
  /// Equations and blocks of the stance; friction times `mu_factor`, coefficients below `least_mu` raised to it.
  void load(const StaticsProblem& problem, double cost, double mu_factor, double least_mu);

  /// Row a . f on a single point or (n_points of the contact) on the contact's sum, a in W.
  [[nodiscard]] ConeRow make_row(int contact, int first_point, int n_points, const Vec3& a_W) const;
  /// Coefficients of row j of the torque map in v, times `scale`.
  void fill_torque_row(int j, double scale, double* row) const;

  [[nodiscard]] ConeProgram& program() { return program_; }
  [[nodiscard]] const ConeProgram& program() const { return program_; }
  [[nodiscard]] double unit_N() const { return unit_N_; }
  [[nodiscard]] double mu(int contact) const { return mu_[static_cast<std::size_t>(contact)]; }

  /// The program's forces, N.
  void read_forces(ForceVector& forces) const;
  [[nodiscard]] Vec3 force_dual() const;   ///< per N
  [[nodiscard]] Vec3 moment_dual() const;  ///< per Nm

 private:
  const StaticsProblem* problem_ = nullptr;
  double unit_N_ = 1.0;
  std::array<ContactAxes, kMaxContacts> axes_{};
  std::array<double, kMaxContacts> mu_{};
  ConeProgram program_;
};

}  // namespace steepwright::statics
