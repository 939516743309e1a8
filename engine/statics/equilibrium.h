#pragma once

/// The six equilibrium rows in the scaled units of the solvers: forces in body weights, moments about the centre of
/// mass in body weights times length_m.

#include "engine/statics/problem.h"

#include <array>

namespace steepwright::statics {

/// rows . f = target, f = forces / weight: three force rows (target z), then three moment rows (target 0).
struct EquilibriumRows {
  alignas(64) std::array<std::array<double, kMaxForce>, 6> rows;
  static constexpr std::array<double, 6> kTarget = {0.0, 0.0, 1.0, 0.0, 0.0, 0.0};
};
void calc_equilibrium_rows(const StaticsProblem& problem, EquilibriumRows& equilibrium);

/// Force that counts as 1 inside the solvers: the weight (1 N for a body without weight).
[[nodiscard]] double find_force_unit(const StaticsProblem& problem);

struct Residual {
  double force_N = 0.0;    ///< |sum f - m g z|
  double moment_Nm = 0.0;  ///< |sum (p - c) x f|
};
[[nodiscard]] Residual find_residual(const StaticsProblem& problem, const ForceVector& forces);

/// tau = torque_offset + torque_map f, Nm.
void calc_torques(const StaticsProblem& problem, const ForceVector& forces, TorqueVector& torques);

/// Force that the point's contact allows: largest violation of cone and faces by f, N (0 inside).
[[nodiscard]] double find_cone_violation(const CapacitySet& set, const Vec3& f_C_W);

}  // namespace steepwright::statics
