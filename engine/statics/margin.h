#pragma once

/// Margin: how far from slipping the stance can be at best.
///
///   maximise s   subject to   equilibrium,  |f_t| <= mu f_n - s,  c . f <= -s (faces),  a . sum f <= b (bounds, rho =
///   1)
///
/// Negative when the stance cannot be held; the cones are exact. With contacts that can squeeze without bound each
/// point's normal force is held below kLargestForce weights.

#include "engine/statics/problem.h"
#include "engine/statics/stance_program.h"

namespace steepwright::statics {

/// Forces above this, in body weights, count as none at all: nobody presses with them.
inline constexpr double kLargestForce = 1000.0;

struct Margin {
  Status status = Status::kLimitReached;  ///< kInfeasible: equilibrium and bounds contradict each other for every s
  double margin_N = 0.0;                  ///< s
  ForceVector forces;
  double residual_N = 0.0;   ///< |sum f - m g z|
  double residual_Nm = 0.0;  ///< |sum (p - c) x f|
  /// d s / d q = force_dual . d(sum f)/dq + moment_dual . d(sum (p - c) x f)/dq, forces held fixed.
  Vec3 force_dual = Vec3::Zero();
  Vec3 moment_dual = Vec3::Zero();
  int iterations = 0;
};

/// Storage of the solver. One per thread.
class MarginWorkspace {
 private:
  friend Margin solve_margin(const StaticsProblem&, MarginWorkspace&);
  StanceProgram stance_;
};

/// Allocation-free.
[[nodiscard]] Margin solve_margin(const StaticsProblem& problem, MarginWorkspace& workspace);

}  // namespace steepwright::statics
