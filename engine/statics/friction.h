#pragma once

/// Needed friction: the smallest factor k on every mu such that forces inside the Coulomb cones k mu alone (no strength
/// limits, no cone faces) balance the weight. A property of the stance's geometry that any linear program can repeat.

#include "engine/core/bounded_vector.h"
#include "engine/statics/margin.h"
#include "engine/statics/problem.h"
#include "engine/statics/stance_program.h"

namespace steepwright::statics {

struct FrictionOptions {
  /// 0: round cones. n >= 3: pyramids of n edges inside the cone, the first edge along t1 of find_contact_axes; for
  /// like-for-like comparison with linear programs.
  int edges = 0;
  /// Where the search begins, such as the answer of a posture near by; 0: at the coefficients as they are. A guess
  /// only: a wrong one costs solves, not truth.
  double start_factor = 0.0;
};

struct NeededFriction {
  /// kInfeasible: no factor up to kLargestFactor helps.
  Status status = Status::kLimitReached;
  double factor = 0.0;  ///< k; infinite when kInfeasible; 0 when normal forces alone balance
  /// Coefficient used at each contact by the forces found (largest over its points). At a contact that is not loaded:
  /// 0.
  BoundedVector<double, kMaxContacts> mu_used;
  ForceVector forces;
  double residual_N = 0.0;   ///< |sum f - m g z|
  double residual_Nm = 0.0;  ///< |sum (p - c) x f|
  int solves = 0;
};

/// A factor above this is as good as none.
inline constexpr double kLargestFactor = 1e4;

/// Storage of the solver. One per thread.
class FrictionWorkspace {
 private:
  friend class FrictionSolver;
  StanceProgram stance_;
};

/// Factor to 1e-7 relative (2e-7 where large cancelling forces leave rounding) from any start; the coefficients used by
/// the forces agree with it to 5e-5. Allocation-free. Normal forces up to kLargestForce body weights are considered.
[[nodiscard]] NeededFriction solve_needed_friction(const StaticsProblem& problem, const FrictionOptions& options,
                                                   FrictionWorkspace& workspace);

}  // namespace steepwright::statics
