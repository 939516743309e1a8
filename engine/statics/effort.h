#pragma once

/// Effort: the smallest rho >= 0 such that the stance holds with every capacity bound and every active torque limit
/// scaled by rho (passive torque as it is). rho <= 1: the body holds.

#include "engine/core/bounded_vector.h"
#include "engine/statics/problem.h"
#include "engine/statics/stance_program.h"

namespace steepwright::statics {

/// One limit's part in the effort. By duality the shares of all limits sum to 1 (with passive torque set aside):
/// raising a limit by 1 % lowers the effort by about share x 1 %.
struct LimitShare {
  enum class Kind { kCapacityBound, kTorqueLower, kTorqueUpper };
  Kind kind = Kind::kCapacityBound;
  int index = 0;       ///< contact, or torque row
  int bound = 0;       ///< of the contact
  double share = 0.0;  ///< 0..1
};

struct Effort {
  /// kInfeasible: no forces at all inside the cones (torque rows with active limit 0 included) balance the weight.
  Status status = Status::kLimitReached;
  double rho = 0.0;  ///< infinite when kInfeasible
  ForceVector forces;
  TorqueVector torques;
  double residual_N = 0.0;               ///< |sum f - m g z|
  double residual_Nm = 0.0;              ///< |sum (p - c) x f|
  BoundedVector<LimitShare, 16> limits;  ///< the binding ones, largest share first
  /// d rho / d q = torque_dual . d tau/dq + force_dual . d(sum f)/dq + moment_dual . d(sum (p - c) x f)/dq with the
  /// forces held fixed (plus the terms of changing limits: -share x rho x d limit / limit).
  /// kInfeasible: the certificate, a motion (force_dual = translation, moment_dual = rotation) that every contact
  /// force can only resist or not feel, while the weight drives it.
  TorqueVector torque_dual;
  Vec3 force_dual = Vec3::Zero();
  Vec3 moment_dual = Vec3::Zero();
  int iterations = 0;
};

/// Storage of the solver. One per thread.
class EffortWorkspace {
 private:
  friend Effort solve_effort(const StaticsProblem&, EffortWorkspace&, double);
  StanceProgram stance_;
};

/// Allocation-free; forces and effort to about 1e-9 of the weight, or to `value_share` of the effort where that is
/// more: enough for a search on its way.
[[nodiscard]] Effort solve_effort(const StaticsProblem& problem, EffortWorkspace& workspace, double value_share = 0.0);

}  // namespace steepwright::statics
