#include "engine/statics/nearest_point.h"

#include "engine/statics/dense.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::statics {

namespace {

// Less than this share of a row's length outside the span: it counts as dependent, as in DualActiveSet.
constexpr double kDependent = 1e-10;
// Less than this share of its square is left: cancellation has cost digits, the span is removed once more.
constexpr double kCancelled = 1e-4;

}  // namespace

void NearestPoint::start(const double* x0, int n) {
  n_ = n;
  q_ = n_equalities_ = 0;
  std::copy_n(x0, n, x_.begin());
}

/// d += J^T z, and z without it.
void NearestPoint::remove_span() {
  for (int i = 0; i < q_; ++i) {
    const double* Ji = &Jt_[at(i * kStride)];
    const double along = dot(Ji, z_.data(), n_);
    d_[at(i)] += along;
    add_scaled(-along, Ji, z_.data(), n_);
  }
  free_norm2_ = dot(z_.data(), z_.data(), n_);
}

void NearestPoint::calc_directions(RowView row) {
  std::fill_n(z_.begin(), n_, 0.0);
  std::copy_n(row.values, row.count, &z_[at(row.first)]);
  row_norm2_ = dot(row.values, row.values, row.count);
  for (int i = 0; i < q_; ++i) {
    const double* Ji = &Jt_[at(i * kStride)];
    d_[at(i)] = row.count == 3 ? Ji[row.first] * row.values[0] + Ji[row.first + 1] * row.values[1] +
                                     Ji[row.first + 2] * row.values[2]
                               : dot(Ji + row.first, row.values, row.count);
  }
  for (int i = 0; i < q_; ++i) add_scaled(-d_[at(i)], &Jt_[at(i * kStride)], z_.data(), n_);
  free_norm2_ = dot(z_.data(), z_.data(), n_);
  if (free_norm2_ < kCancelled * row_norm2_) remove_span();
}

/// r = R^-1 d, column-oriented.
void NearestPoint::calc_multiplier_step() {
  std::copy_n(d_.begin(), q_, r_.begin());
  for (int j = q_ - 1; j >= 0; --j) {
    const double* Rj = &R_[at(j * kStride)];
    r_[at(j)] *= over_[at(j)];
    add_scaled(-r_[at(j)], Rj, r_.data(), j);
  }
}

bool NearestPoint::is_dependent() const { return q_ == n_ || free_norm2_ <= kDependent * kDependent * row_norm2_; }

void NearestPoint::insert(double multiplier, const RowTag& tag) {
  const double size = std::sqrt(free_norm2_);
  double* Jq = &Jt_[at(q_ * kStride)];
  const double over = 1.0 / size;
  for (int k = 0; k < n_; ++k) Jq[k] = over * z_[at(k)];
  double* Rq = &R_[at(q_ * kStride)];
  std::copy_n(d_.begin(), q_, Rq);
  Rq[q_] = size;
  over_[at(q_)] = over;
  u_[at(q_)] = multiplier;
  tags_[at(q_)] = tag;
  ++q_;
}

/// The offered row keeps its directions: what it has along the dropped one becomes free.
void NearestPoint::drop(int l) {
  --q_;
  for (int j = l; j < q_; ++j) {
    std::copy_n(&R_[at((j + 1) * kStride)], j + 2, &R_[at(j * kStride)]);
    u_[at(j)] = u_[at(j + 1)];
    tags_[at(j)] = tags_[at(j + 1)];
  }
  // Rotate rows j, j + 1 so that the shifted columns are triangular again.
  for (int j = l; j < q_; ++j) {
    double* Rj = &R_[at(j * kStride)];
    const double size = std::sqrt(Rj[j] * Rj[j] + Rj[j + 1] * Rj[j + 1]);
    over_[at(j)] = 1.0 / size;
    const double c = Rj[j] * over_[at(j)];
    const double s = Rj[j + 1] * over_[at(j)];
    Rj[j] = size;
    for (int k = j + 1; k < q_; ++k) rotate(c, s, &R_[at(k * kStride + j)], &R_[at(k * kStride + j + 1)], 1);
    rotate(c, s, &Jt_[at(j * kStride)], &Jt_[at((j + 1) * kStride)], n_);
    rotate(c, s, &d_[at(j)], &d_[at(j + 1)], 1);
  }
  add_scaled(d_[at(q_)], &Jt_[at(q_ * kStride)], z_.data(), n_);
  free_norm2_ = dot(z_.data(), z_.data(), n_);
}

bool NearestPoint::add_equality(RowView row, double b, const RowTag& tag) {
  calc_directions(row);
  if (is_dependent()) return false;
  const double step = (b - dot(row.values, &x_[at(row.first)], row.count)) / free_norm2_;
  add_scaled(step, z_.data(), x_.data(), n_);
  insert(0.0, tag);  // whatever its multiplier, an equality stays
  n_equalities_ = q_;
  return true;
}

NearestPoint::Step NearestPoint::add_violated(RowView row, double b, const RowTag& tag) {
  double multiplier = 0.0;
  calc_directions(row);
  while (true) {
    calc_multiplier_step();
    const bool can_move = !is_dependent();
    double dual_step = std::numeric_limits<double>::infinity();
    int blocking = -1;
    for (int j = n_equalities_; j < q_; ++j) {
      if (r_[at(j)] > 0.0 && u_[at(j)] < dual_step * r_[at(j)]) {
        dual_step = u_[at(j)] / r_[at(j)];
        blocking = j;
      }
    }
    if (!can_move && blocking < 0) return Step::kInfeasible;
    const double slack = dot(row.values, &x_[at(row.first)], row.count) - b;
    const double full_step = can_move ? -slack / free_norm2_ : std::numeric_limits<double>::infinity();
    const double step = std::max(0.0, std::min(dual_step, full_step));
    if (can_move) add_scaled(step, z_.data(), x_.data(), n_);
    add_scaled(-step, r_.data(), u_.data(), q_);
    multiplier += step;
    if (full_step <= dual_step) {
      insert(multiplier, tag);
      return Step::kAdded;
    }
    drop(blocking);
  }
}

}  // namespace steepwright::statics
