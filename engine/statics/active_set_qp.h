#pragma once

/// Dual active-set method for small strictly convex quadratic programs
///
///   minimise 1/2 x^T H x + g^T x   subject to   n_i . x = b_i (equalities),   n_i . x >= b_i
///
/// after Goldfarb & Idnani 1983 (from memory). Constraints are not stored: the caller offers violated ones one at a
/// time, so curved constraints can be handed over as tangent planes where they are needed.
///
/// H = L L^T, J = L^-T Q with J^T N = [R; 0] for the normals N of the working set. Adding a row is one Householder
/// reflection of J's free columns, dropping one is a chain of Givens rotations.

#include "engine/statics/problem.h"

#include <array>

namespace steepwright::statics {

/// A constraint's normal where it is not zero: entries first .. first + count - 1.
struct RowView {
  const double* values = nullptr;
  int first = 0;
  int count = 0;
};

/// What a row of the working set is, for the caller.
struct RowTag {
  enum class Kind { kEquality, kNormal, kCone, kFace, kBound, kTorqueLower, kTorqueUpper };
  Kind kind = Kind::kEquality;
  int index = 0;            ///< point, contact, torque row or equality
  int bound = 0;            ///< of the contact, or cone face
  Vec3 t_W = Vec3::Zero();  ///< kCone: tangent of the cut
};

class DualActiveSet {
 public:
  static constexpr int kStride = kMaxForce;

  /// Clears H, g and the working set.
  void resize(int n);
  [[nodiscard]] int size() const { return n_; }

  [[nodiscard]] double* hessian_row(int i) { return &H_[static_cast<std::size_t>(i * kStride)]; }
  [[nodiscard]] double* gradient() { return g_.data(); }
  /// H += weight a a^T (lower triangle).
  void add_rank_one(double weight, RowView a);

  /// Factorises H (lower triangle read) and empties the working set. False when H is not positive definite.
  [[nodiscard]] bool factorise();

  /// Adds a row to the working set without moving x; false when it depends on the rows already there.
  [[nodiscard]] bool append(RowView row, double b, const RowTag& tag);
  /// Moves x to the minimum on the working set, and drops inequalities with negative multipliers until none is left:
  /// then (x, working set) is a valid start of the dual method.
  void settle();

  enum class Step { kAdded, kInfeasible };
  /// Dual step for a violated inequality n . x >= b.
  [[nodiscard]] Step add_violated(RowView row, double b, const RowTag& tag);

  [[nodiscard]] const double* x() const { return x_.data(); }
  [[nodiscard]] int n_active() const { return q_; }
  [[nodiscard]] const RowTag& tag(int i) const { return tags_[static_cast<std::size_t>(i)]; }
  [[nodiscard]] double multiplier(int i) const { return u_[static_cast<std::size_t>(i)]; }
  /// After kInfeasible: the row that was offered is the sum of the working set's, each times this; the numbers of
  /// inequalities are not positive.
  [[nodiscard]] double contradiction(int i) const { return r_[static_cast<std::size_t>(i)]; }

 private:
  using Vector = std::array<double, kMaxForce>;
  void calc_directions(RowView row);
  void insert(double b, double multiplier, const RowTag& tag);
  void drop(int l);
  void calc_working_minimum();

  int n_ = 0;
  int q_ = 0;             // rows in the working set
  int n_equalities_ = 0;  // they stand first and are never dropped
  alignas(64) std::array<double, static_cast<std::size_t>(kStride* kMaxForce)> H_{};
  alignas(64) std::array<double, static_cast<std::size_t>(kStride* kMaxForce)> L_{};
  alignas(64) std::array<double, static_cast<std::size_t>(kStride* kMaxForce)> Jt_{};  // rows are J's columns
  alignas(64) std::array<double, static_cast<std::size_t>(kStride* kMaxForce)> R_{};   // column j at j * kStride
  alignas(64) Vector g_{}, x_{}, u_{}, b_{}, d_{}, z_{}, r_{};
  double d_norm2_ = 0.0, free_norm2_ = 0.0;  // |d|^2 and |d2|^2, d2 the part outside the working set
  std::array<RowTag, kMaxForce> tags_{};
};

}  // namespace steepwright::statics
