#pragma once

/// The step of both the contact solver and the posture search: the point nearest to a wished step that meets the
/// linearised constraints.
///
///   minimise 1/2 |d - d0|^2   subject to   A_e d = -c_e,   A_o d >= -c_o,   lower <= d <= upper
///
/// by a primal-dual active set method (all changes of the active set at once, Hintermueller, Ito & Kunisch 2002, from
/// memory): the one system per round has the size of the active rows, not of the posture.

#include "engine/posture/rows.h"

namespace steepwright::posture {

/// Arrays over active rows are gone through four at a time.
inline constexpr int kPaddedRows = (kMaxRows + 3) / 4 * 4;

/// Multipliers of a step, to tell which constraint stands in the way, and storage.
struct StepWorkspace {
  std::array<bool, kMaxRows> is_active{};
  std::array<signed char, body::kMaxDof> fixed{};  ///< -1 at the lower bound, +1 at the upper, 0 free
  Eigen::Matrix<double, kMaxRows, 1> multiplier;   ///< per row of Rows, 0 where inactive

  // Scratch of one step. Gram matrix of the active rows on the free degrees of freedom, kept up as both sets change:
  // its upper half, in whole fours. What else those fours hold is finite and does not count.
  Eigen::Matrix<double, kPaddedRows, kPaddedRows, Eigen::RowMajor> gram, factor;
  Eigen::Matrix<double, kPaddedRows, 1> rhs;
  /// Four active rows after the other, each four by column.
  Eigen::Matrix<double, body::kMaxDof * kPaddedRows, 1> columns;
  std::array<int, kMaxRows> order{};  ///< active rows in the order of `gram`
  int n_active = 0;
};

struct StepParams {
  double damping = 1e-8;  ///< added to the Gram matrix, relative to its mean diagonal: keeps redundant rows solvable
  int max_rounds = 10;
};

/// Returns the step (n_dof, the root's shift in Body::scale). `wish` is d0 (n_dof). Hinge bounds come from the tree and
/// the posture's angles. Allocation-free.
[[nodiscard]] body::DofVector solve_step(const body::Tree& tree, const body::Posture& posture, const Rows& rows,
                                         const body::DofVector& wish, const StepParams& params,
                                         StepWorkspace& workspace);

/// Moves `posture` by such a step.
void take_step(const body::Body& body, const body::DofVector& step, body::Posture& posture);

}  // namespace steepwright::posture
