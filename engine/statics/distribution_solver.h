#pragma once

/// The solver behind solve_distribution; private to this part. Rounds of quadratic programs (distribution.cpp) over the
/// rows of the problem (distribution_rows.cpp).

#include "engine/statics/distribution.h"

#include <algorithm>
#include <array>

namespace steepwright::statics {

/// Violations below this, in body weights (cones) or shares of the limit (torques), are rounding: 7e-7 N.
inline constexpr double kDistributionTolerance = 1e-9;

/// One solve. Forces are in body weights here.
class DistributionSolver {
 public:
  DistributionSolver(const StaticsProblem& problem, const DistributionOptions& options,
                     DistributionWorkspace& workspace)
      : problem_(problem), options_(options), w_(workspace), unit_(find_force_unit(problem)), n_(problem.n_force()) {}

  [[nodiscard]] Distribution solve();

 private:
  // Rounds: distribution.cpp.
  Status search(Distribution& result);
  /// Newton rounds on sliding cones: each has one tangent plane and the cone's curvature in H (the Lagrangian's second
  /// derivative), so that the rounds converge quadratically where cuts alone would take tens. All planes hold for the
  /// cone itself, so a contradiction is a proof.
  Status search_newton(Distribution& result);
  /// The same by planes alone: slower, but each step is a proven gain. Re-solves until every torque is on the side
  /// whose limit was used.
  Status search_cuts(Distribution& result);
  /// Remembers the working set with one plane per sliding cone, tangent where its force is now, and the curvatures.
  /// Returns the largest angle between these planes and the ones before.
  double keep_curvature();
  void keep_working_set();
  void remember();
  /// Minimum over [0, 1] of the true (two-sided) cost from x_ to y: the root of its slope, which grows along the line.
  [[nodiscard]] double find_line_minimum(const double* y);
  /// Factorises H with the curvatures of the sliding cones on top; H itself stays the objective's.
  [[nodiscard]] bool factorise();
  /// The convex quadratic program of the present sides: equalities and remembered rows first, then violated rows.
  Status solve_quadratic(Distribution& result);
  void finish(Distribution& result) const;

  // Objective, sides and rows: distribution_rows.cpp.
  void load();
  /// Objective of the present sides.
  void build_objective();
  void add_torque(int j, double weight);
  /// Sets the sides by x_; H and g follow. True when one changed.
  bool update_sides();
  /// Tangential part of the force on a point, from x_.
  [[nodiscard]] Vec3 find_tangential(int point) const;
  /// The row n . x >= b that a tag names, in w_.row_ or the torque rows. Empty for a tag that does not fit the problem.
  RowView make_row(RowTag& tag, double& b);
  /// The constraint that x violates most, cones as the half-space tangent at x. False when none is.
  [[nodiscard]] bool find_most_violated(const double* x, RowTag& worst) const;
  void add_multiplier(const RowTag& tag, double multiplier, Distribution& result) const;

  [[nodiscard]] bool is_exact() const { return options_.equilibrium == DistributionOptions::Equilibrium::kExact; }
  [[nodiscard]] bool can_start_warm() const {
    return w_.is_warm_ && w_.warm_n_force_ == n_ && w_.warm_n_torque_ == problem_.n_torque_rows;
  }
  [[nodiscard]] double effort() const { return options_.effort_bound > 0.0 ? options_.effort_bound : 1.0; }
  /// Row j of the torque map where it is not zero.
  [[nodiscard]] RowView torque_row(int j) const {
    const auto [first, count] = w_.torque_ranges_[at(j)];
    return {&w_.torque_rows_[at(j * kMaxForce + first)], first, count};
  }
  [[nodiscard]] double torque_weight(int j) const {
    const double limit = w_.is_upper_[at(j)] ? w_.upper_[at(j)] : w_.lower_[at(j)];
    return 1.0 / (limit * limit);
  }
  [[nodiscard]] double torque(int j, const double* x) const {
    const RowView row = torque_row(j);
    return w_.torque_offsets_[at(j)] + dot(row.values, x + row.first, row.count);
  }
  [[nodiscard]] double target(std::size_t row) const {
    return row == 2 ? problem_.weight_N / unit_ : EquilibriumRows::kTarget[row];
  }
  [[nodiscard]] const CapacitySet& capacity_of(int point) const {
    for (const Contact& contact : problem_.contacts)
      if (point < contact.first_point + contact.n_points) return contact.capacity;
    return problem_.contacts.back().capacity;
  }
  [[nodiscard]] double find_torque_scale(int j) const { return std::max(w_.lower_[at(j)], w_.upper_[at(j)]); }

  const StaticsProblem& problem_;
  DistributionOptions options_;
  DistributionWorkspace& w_;
  double unit_;
  int n_;
  bool is_newton_ = true;
  int n_curved_ = 0;
  std::array<int, kMaxPoints> curved_{};
  std::array<bool, kMaxPoints> is_apex_{};
};

}  // namespace steepwright::statics
