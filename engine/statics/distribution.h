#pragma once

/// Load distribution: the forces of least squared activation.
///
///   minimise 1/2 sum_contacts n_c sum_{p in c} |f_p|^2 / scale_c^2  +  1/2 sum_j ( tau_j / limit_j )^2
///
/// with limit_j = rho active + passive of the side that tau_j is on (the cost is convex and once differentiable; the
/// sides are found by re-solving until they agree), subject to the cones and, where asked, the strength limits.

#include "engine/statics/active_set_qp.h"
#include "engine/statics/dense.h"
#include "engine/statics/equilibrium.h"
#include "engine/statics/problem.h"

#include <array>

namespace steepwright::statics {

struct DistributionOptions {
  /// kExact: the six equilibrium rows are equations. kSoft: they are penalised by softness (for the posture search:
  /// always solvable, its gradient leads to feasibility).
  enum class Equilibrium { kExact, kSoft };
  Equilibrium equilibrium = Equilibrium::kExact;
  /// Penalty on the squared relative residual |F| / (m g), |M| / (m g length_m); multiplies 1/2 r^2.
  double soft_weight = 1e5;
  /// Impose the capacity bounds and torque limits at this effort (> 0); 0: they shape the cost only.
  double effort_bound = 0.0;
};

struct Distribution {
  Status status = Status::kLimitReached;
  ForceVector forces;        ///< f_p stacked, N
  TorqueVector torques;      ///< Nm
  double cost = 0.0;         ///< the objective above (soft: with the penalty)
  double residual_N = 0.0;   ///< |sum f - m g z|
  double residual_Nm = 0.0;  ///< |sum (p - c) x f|
  /// Multipliers for the envelope theorem, d cost / d q = torque_dual . d tau/dq + (side terms of limits, by the
  /// caller)
  /// + force_dual . d(sum f)/dq + moment_dual . d(sum (p - c) x f)/dq, forces held fixed.
  TorqueVector torque_dual;  ///< tau_j / limit_j^2 (+ multiplier of an active limit)
  Vec3 force_dual = Vec3::Zero();
  Vec3 moment_dual = Vec3::Zero();
  int iterations = 0;
};

/// Storage of the solver, and the working set it warm-starts from. One per thread.
class DistributionWorkspace {
 public:
  /// Forgets the last solve: the next one starts cold.
  void reset() { is_warm_ = false; }

 private:
  friend class DistributionSolver;
  DualActiveSet qp_;
  EquilibriumRows equilibrium_;
  alignas(
      64) std::array<double, static_cast<std::size_t>(kMaxTorqueRows* kMaxForce)> torque_rows_{};  // stride kMaxForce
  std::array<Range, kMaxTorqueRows> torque_ranges_{};
  std::array<double, kMaxTorqueRows> torque_offsets_{}, lower_{}, upper_{};
  std::array<bool, kMaxTorqueRows> is_upper_{};
  std::array<double, kMaxForce> row_{};
  std::array<double, kMaxForce> x_{};
  /// Curvature of a sliding cone: weight b b^T on its point.
  struct Curvature {
    int point = 0;
    double weight = 0.0;
    Vec3 b = Vec3::Zero();
  };
  std::array<Curvature, kMaxPoints> curvature_{};
  int n_curved_ = 0;
  // The last solution's working set and sides.
  bool is_warm_ = false;
  int warm_n_force_ = 0;
  int warm_n_torque_ = 0;
  BoundedVector<RowTag, kMaxForce> warm_rows_;
};

/// The least activation that holds the body. Exact: kInfeasible when cones, equilibrium (and, with an effort bound,
/// strength) contradict each other; the forces are then those of least residual. Soft: always solvable.
/// Starts from the working set of the workspace's last solve when the sizes agree; the answer does not depend on it
/// beyond the tolerance (1e-9 of the weight). Allocation-free.
[[nodiscard]] Distribution solve_distribution(const StaticsProblem& problem, const DistributionOptions& options,
                                              DistributionWorkspace& workspace);

}  // namespace steepwright::statics
