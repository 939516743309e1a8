#include "engine/statics/active_set_qp.h"

#include "engine/statics/dense.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::statics {

namespace {

// A row counts as dependent when less than this share of its length (in the metric of H^-1) lies outside the span of
// the working set: far above rounding (1e-13 for the conditions met here), far below any cut that makes progress.
constexpr double kDependent = 1e-10;
// Multipliers this small against the largest are zero: dropping on rounding noise would cycle.
constexpr double kZeroMultiplier = 1e-14;

}  // namespace

void DualActiveSet::resize(int n) {
  n_ = n;
  q_ = n_equalities_ = 0;
  std::fill_n(H_.begin(), n * kStride, 0.0);
  g_.fill(0.0);
}

void DualActiveSet::add_rank_one(double weight, RowView a) {
  for (int i = 0; i < a.count; ++i)
    add_scaled(weight * a.values[i], a.values, hessian_row(a.first + i) + a.first, i + 1);
}

bool DualActiveSet::factorise() {
  q_ = n_equalities_ = 0;
  // Row elimination of [H | I], H's upper triangle: leaves [L^T | L^-1] = [. | J^T]. All inner loops run along rows.
  for (int i = 0; i < n_; ++i) {
    double* row = &L_[at(i * kStride)];
    for (int k = i; k < n_; ++k) row[k] = H_[at(k * kStride + i)];
    double* inverse = &Jt_[at(i * kStride)];
    std::fill_n(inverse, n_, 0.0);
    inverse[i] = 1.0;
  }
  for (int j = 0; j < n_; ++j) {
    double* __restrict pivot_row = &L_[at(j * kStride)];
    double* __restrict pivot_inverse = &Jt_[at(j * kStride)];
    if (!(pivot_row[j] > 0.0)) return false;
    const double scale = 1.0 / std::sqrt(pivot_row[j]);
    for (int k = j; k < n_; ++k) pivot_row[k] *= scale;
    for (int k = 0; k <= j; ++k) pivot_inverse[k] *= scale;
    for (int i = j + 1; i < n_; ++i) {
      const double factor = pivot_row[i];
      if (factor == 0.0) continue;
      add_scaled(-factor, pivot_row + i, &L_[at(i * kStride + i)], n_ - i);
      add_scaled(-factor, pivot_inverse, &Jt_[at(i * kStride)], j + 1);
    }
  }
  return true;
}

void DualActiveSet::calc_directions(RowView row) {
  double inside = 0.0;
  for (int i = 0; i < n_; ++i) {
    const double* Ji = &Jt_[at(i * kStride + row.first)];
    d_[at(i)] = row.count == 3 ? Ji[0] * row.values[0] + Ji[1] * row.values[1] + Ji[2] * row.values[2]
                               : dot(Ji, row.values, row.count);
  }
  for (int i = 0; i < q_; ++i) inside += d_[at(i)] * d_[at(i)];
  std::fill_n(z_.begin(), n_, 0.0);
  free_norm2_ = 0.0;
  for (int i = q_; i < n_; ++i) {
    const double di = d_[at(i)];
    free_norm2_ += di * di;
    add_scaled(di, &Jt_[at(i * kStride)], z_.data(), n_);
  }
  d_norm2_ = inside + free_norm2_;
  // r = R^-1 d1, column-oriented.
  std::copy_n(d_.begin(), q_, r_.begin());
  for (int j = q_ - 1; j >= 0; --j) {
    const double* Rj = &R_[at(j * kStride)];
    r_[at(j)] /= Rj[j];
    add_scaled(-r_[at(j)], Rj, r_.data(), j);
  }
}

void DualActiveSet::insert(double b, double multiplier, const RowTag& tag) {
  // Reflect the free part of d onto its first entry: J2 <- J2 (I - v v^T / (v^T v / 2)), v = d2 - alpha e1.
  const double alpha = d_[at(q_)] > 0.0 ? -std::sqrt(free_norm2_) : std::sqrt(free_norm2_);
  const double half_v2 = free_norm2_ - alpha * d_[at(q_)];
  double* Jq = &Jt_[at(q_ * kStride)];
  for (int k = 0; k < n_; ++k) z_[at(k)] = (z_[at(k)] - alpha * Jq[k]) / half_v2;
  d_[at(q_)] -= alpha;
  for (int i = q_; i < n_; ++i) add_scaled(-d_[at(i)], z_.data(), &Jt_[at(i * kStride)], n_);
  double* Rq = &R_[at(q_ * kStride)];
  std::copy_n(d_.begin(), q_, Rq);
  Rq[q_] = alpha;
  b_[at(q_)] = b;
  u_[at(q_)] = multiplier;
  tags_[at(q_)] = tag;
  ++q_;
}

void DualActiveSet::drop(int l) {
  --q_;
  for (int j = l; j < q_; ++j) {
    std::copy_n(&R_[at((j + 1) * kStride)], j + 2, &R_[at(j * kStride)]);
    b_[at(j)] = b_[at(j + 1)];
    u_[at(j)] = u_[at(j + 1)];
    tags_[at(j)] = tags_[at(j + 1)];
  }
  // Rotate rows j, j + 1 so that the shifted columns are triangular again.
  for (int j = l; j < q_; ++j) {
    double* Rj = &R_[at(j * kStride)];
    const double size = std::hypot(Rj[j], Rj[j + 1]);
    const double c = Rj[j] / size;
    const double s = Rj[j + 1] / size;
    Rj[j] = size;
    for (int k = j + 1; k < q_; ++k) {
      double* Rk = &R_[at(k * kStride)];
      rotate(c, s, Rk + j, Rk + j + 1, 1);
    }
    rotate(c, s, &Jt_[at(j * kStride)], &Jt_[at((j + 1) * kStride)], n_);
  }
}

bool DualActiveSet::append(RowView row, double b, const RowTag& tag) {
  calc_directions(row);
  if (q_ == n_ || free_norm2_ <= kDependent * kDependent * d_norm2_) return false;
  insert(b, 0.0, tag);
  if (tag.kind == RowTag::Kind::kEquality) n_equalities_ = q_;
  return true;
}

void DualActiveSet::calc_working_minimum() {
  // w1 = R^-T b, w2 = -J2^T g: x = J [w1; w2];  u = R^-1 (w1 + J1^T g).
  for (int i = 0; i < q_; ++i) {
    const double* Ri = &R_[at(i * kStride)];
    d_[at(i)] = (b_[at(i)] - dot(Ri, d_.data(), i)) / Ri[i];
  }
  for (int i = 0; i < n_; ++i) {
    const double slope = dot(&Jt_[at(i * kStride)], g_.data(), n_);
    if (i < q_) {
      u_[at(i)] = d_[at(i)] + slope;
    } else {
      d_[at(i)] = -slope;
    }
  }
  std::fill_n(x_.begin(), n_, 0.0);
  for (int i = 0; i < n_; ++i) add_scaled(d_[at(i)], &Jt_[at(i * kStride)], x_.data(), n_);
  for (int j = q_ - 1; j >= 0; --j) {
    const double* Rj = &R_[at(j * kStride)];
    u_[at(j)] /= Rj[j];
    add_scaled(-u_[at(j)], Rj, u_.data(), j);
  }
}

void DualActiveSet::settle() {
  while (true) {
    calc_working_minimum();
    int worst = -1;
    double largest = 0.0;
    double least = 0.0;
    for (int j = n_equalities_; j < q_; ++j) {
      largest = std::max(largest, std::abs(u_[at(j)]));
      if (u_[at(j)] < least) {
        least = u_[at(j)];
        worst = j;
      }
    }
    if (worst < 0) return;
    if (-least <= kZeroMultiplier * largest) {
      u_[at(worst)] = 0.0;
      return;
    }
    drop(worst);
  }
}

DualActiveSet::Step DualActiveSet::add_violated(RowView row, double b, const RowTag& tag) {
  double multiplier = 0.0;
  while (true) {
    calc_directions(row);
    const double slack = dot(row.values, &x_[at(row.first)], row.count) - b;
    const bool can_move = q_ < n_ && free_norm2_ > kDependent * kDependent * d_norm2_;
    double dual_step = std::numeric_limits<double>::infinity();
    int blocking = -1;
    for (int j = n_equalities_; j < q_; ++j) {
      if (r_[at(j)] > 0.0 && u_[at(j)] < dual_step * r_[at(j)]) {
        dual_step = u_[at(j)] / r_[at(j)];
        blocking = j;
      }
    }
    const double full_step = can_move ? -slack / free_norm2_ : std::numeric_limits<double>::infinity();
    if (!can_move && blocking < 0) return Step::kInfeasible;
    const double step = std::max(0.0, std::min(dual_step, full_step));
    if (can_move) add_scaled(step, z_.data(), x_.data(), n_);
    add_scaled(-step, r_.data(), u_.data(), q_);
    multiplier += step;
    if (full_step <= dual_step) {
      insert(b, multiplier, tag);
      return Step::kAdded;
    }
    drop(blocking);
  }
}

}  // namespace steepwright::statics
