#pragma once

/// The point nearest to a given one that meets linear limits, minimise |x - x0|^2 subject to n_i . x = b_i
/// (equalities), n_i . x >= b_i: DualActiveSet for a unit metric, where directions need the working set's span alone
/// and a row costs a third. Limits are offered one at a time, violated.
///
/// N = J R for the normals N of the working set: J's columns are orthonormal, by Gram-Schmidt, once more where little
/// is left of a row; dropping a row is a chain of Givens rotations.

#include "engine/statics/active_set_qp.h"

namespace steepwright::statics {

class NearestPoint {
 public:
  /// An empty working set, x = x0 of n entries.
  void start(const double* x0, int n);
  /// To be called before any limit is added. False when the row depends on those before.
  [[nodiscard]] bool add_equality(RowView row, double b, const RowTag& tag);

  using Step = DualActiveSet::Step;
  /// Moves x to the nearest point that meets this violated limit too, with those of the working set.
  [[nodiscard]] Step add_violated(RowView row, double b, const RowTag& tag);

  [[nodiscard]] const double* x() const { return x_.data(); }
  [[nodiscard]] int n_active() const { return q_; }
  [[nodiscard]] const RowTag& tag(int i) const { return tags_[static_cast<std::size_t>(i)]; }
  /// As DualActiveSet::contradiction.
  [[nodiscard]] double contradiction(int i) const { return r_[static_cast<std::size_t>(i)]; }

 private:
  using Vector = std::array<double, kMaxForce>;
  static constexpr int kStride = kMaxForce;
  void calc_directions(RowView row);
  void remove_span();
  void calc_multiplier_step();
  [[nodiscard]] bool is_dependent() const;
  void insert(double multiplier, const RowTag& tag);
  void drop(int l);

  int n_ = 0;
  int q_ = 0;  // rows in the working set
  int n_equalities_ = 0;
  alignas(64) std::array<double, static_cast<std::size_t>(kStride* kMaxForce)> Jt_{};  // rows are J's columns
  alignas(64) std::array<double, static_cast<std::size_t>(kStride* kMaxForce)> R_{};   // column j at j * kStride
  alignas(64) Vector x_{}, u_{}, r_{};
  alignas(64) Vector d_{}, z_{};               // the offered row is J d + z, z outside the span
  alignas(64) Vector over_{};                  // 1 over R's diagonal
  double row_norm2_ = 0.0, free_norm2_ = 0.0;  // |row|^2 and |z|^2
  std::array<RowTag, kMaxForce> tags_{};
};

}  // namespace steepwright::statics
