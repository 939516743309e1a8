// Scaling of the cones, and the reduced linear system: points first, then equations, hard rows and r.

#include "engine/statics/cone_program.h"
#include "engine/statics/dense.h"
#include "engine/statics/lorentz_cone.h"

#include <algorithm>
#include <cmath>

namespace steepwright::statics {

namespace {

// Rows heavier than this (against the 1 of the cones) stand beside the equations.
constexpr double kHard = 1e6;
constexpr double kRounding = 1e-14;  // pivots below this share of their diagonal are rounding
constexpr int kMaxRefinements = 3;
constexpr double kRefine = 1e-11;  // equation errors worth a refinement

}  // namespace

void ConeProgram::calc_scaling() {
  for (int p = 0; p < n_cones_; ++p) {
    Cone& cone = cones_[at(p)];
    const double s_size = std::sqrt(lorentz(cone.s));
    const double z_size = std::sqrt(lorentz(cone.z));
    Triple s;
    Triple z;
    for (std::size_t i = 0; i < 3; ++i) {
      s[i] = cone.s[i] / s_size;
      z[i] = cone.z[i] / z_size;
    }
    const double gamma = std::sqrt(0.5 * (1.0 + s[0] * z[0] + s[1] * z[1] + s[2] * z[2]));
    const double half = 0.5 / gamma;
    cone.w = {half * (s[0] + z[0]), half * (s[1] - z[1]), half * (s[2] - z[2])};
    cone.eta = std::sqrt(s_size / z_size);
    // lambda = W z without the cancellation of that product (Andersen, Dahl & Vandenberghe, CVXOPT's manual, from
    // memory).
    const double size = std::sqrt(s_size * z_size);
    const double sum = s[0] + z[0] + 2.0 * gamma;
    cone.lambda = {size * gamma, size * ((gamma + z[0]) * s[1] + (gamma + s[0]) * z[1]) / sum,
                   size * ((gamma + z[0]) * s[2] + (gamma + s[0]) * z[2]) / sum};
    const double e = cone.eta;
    const Triple& w = cone.w;
    const double k = e / (1.0 + w[0]);
    cone.W = {e * w[0], e * w[1], e + k * w[1] * w[1], e * w[2], k * w[1] * w[2], e + k * w[2] * w[2]};
  }
  for_each_scalar([](Scalar& scalar) { scalar.weight = scalar.z / scalar.s; });
}

void ConeProgram::scale_row(const double* row, double* scaled) const {
  for (int p = 0; p < n_cones_; ++p) multiply(cones_[at(p)].W, row + 3 * p, scaled + 3 * p);
}

void ConeProgram::scale_rows() {
  for (int k = 0; k < m_; ++k) scale_row(Q_[at(k)].data(), QW_[at(k)].data());
  for (int j = 0; j < n_pairs_; ++j) {
    const Pair& pair = pairs_[at(j)];
    for (int i = pair.first; i < pair.first + pair.count; i += 3)
      multiply(cones_[at(i / 3)].W, &pair_rows_[at(kStride * j + i)], &pair_scaled_[at(kStride * j + i)]);
  }
  for (int i = 0; i < n_rows_; ++i) {
    Row& row = rows_[at(i)];
    for (int p = 0; p < row.n_points; ++p) {
      multiply(cones_[at(row.first / 3 + p)].W, row.a.data(), &row.scaled[at(3 * p)]);
    }
  }
}

bool ConeProgram::make_hard(Scalar& scalar, const double* scaled, int first, int count, double sign) {
  scalar.hard = -1;
  if (n_hard_ == kMaxHard || !(scalar.weight * dot(scaled, scaled, count) > kHard)) return false;
  scalar.hard = m_ + n_hard_;
  hard_[at(n_hard_++)] = {scaled, first, count, sign, scalar.q, 1.0 / scalar.weight};
  return true;
}

void ConeProgram::assemble() {
  for (int b = 0; b < n_blocks_; ++b) {
    const auto [first, size] = blocks_[at(b)];
    for (int i = first; i < first + size; ++i) {
      std::fill_n(&M_[at(i * kStride + i)], first + size - i, 0.0);
      M_[at(i * kStride + i)] = 1.0;
    }
  }
  std::fill_n(q_.begin(), n_v_, 0.0);
  w_ = 0.0;
  n_hard_ = 0;
  for (int i = 0; i < n_rows_; ++i) {
    Row& row = rows_[at(i)];
    if (make_hard(row.scalar, row.scaled.data(), row.first, 3 * row.n_points, 1.0)) continue;
    const double weight = row.scalar.weight;
    w_ += weight * row.scalar.q * row.scalar.q;
    for (int a = 0; a < 3 * row.n_points; ++a) {
      const double factor = weight * row.scaled[at(a)];
      const int diagonal = row.first + a;
      add_scaled(factor, &row.scaled[at(a)], &M_[at(diagonal * kStride + diagonal)], 3 * row.n_points - a);
      q_[at(row.first + a)] += factor * row.scalar.q;
    }
  }
  for (int j = 0; j < n_pairs_; ++j) {
    Pair& pair = pairs_[at(j)];
    const double* t = &pair_scaled_[at(kStride * j + pair.first)];
    const double upper = make_hard(pair.upper, t, pair.first, pair.count, 1.0) ? 0.0 : pair.upper.weight;
    const double lower = make_hard(pair.lower, t, pair.first, pair.count, -1.0) ? 0.0 : pair.lower.weight;
    const double both = upper + lower;
    w_ += upper * pair.upper.q * pair.upper.q + lower * pair.lower.q * pair.lower.q;
    if (both == 0.0) continue;
    add_scaled(upper * pair.upper.q - lower * pair.lower.q, t, &q_[at(pair.first)], pair.count);
    for (int i = 0; i < pair.count; ++i) {
      const int row = pair.first + i;
      add_scaled(both * t[i], t + i, &M_[at(row * kStride + row)], pair.count - i);
    }
  }
}

/// Y before elimination: the columns of equations, hard rows and r.
void ConeProgram::load_columns() {
  n_columns_ = m_ + n_hard_;
  width_ = std::max(8, (n_columns_ + 4) / 4 * 4);
  for (int i = 0; i < n_v_; ++i) {
    ColumnVector& Yi = Y_[at(i)];
    std::fill_n(Yi.begin(), width_, 0.0);
    for (int k = 0; k < m_; ++k) Yi[at(k)] = QW_[at(k)][at(i)];
    Yi[at(n_columns_)] = q_[at(i)];
  }
  for (int h = 0; h < n_hard_; ++h) {
    const HardRow& row = hard_[at(h)];
    for (int i = 0; i < row.count; ++i) Y_[at(row.first + i)][at(m_ + h)] = row.sign * row.scaled[i];
  }
}

/// Row elimination of [M | Y] within a block, M's upper triangle: leaves [L^T | L^-1 Y].
void ConeProgram::factorise_block(int first, int size) {
  const int end = first + size;
  for (int j = first; j < end; ++j) {
    double* __restrict pivot_row = &M_[at(j * kStride)];
    double* __restrict Yj = Y_[at(j)].data();
    // M is the identity plus positive terms: a pivot below 1 is rounding.
    const double scale = 1.0 / std::sqrt(std::max(pivot_row[j], 1.0));
    inverse_diagonal_[at(j)] = scale;
    for (int k = j + 1; k < end; ++k) pivot_row[k] *= scale;
    for (int k = 0; k < width_; ++k) Yj[k] *= scale;
    for (int i = j + 1; i < end; ++i) {
      const double factor = pivot_row[i];
      if (factor == 0.0) continue;
      add_scaled(-factor, pivot_row + i, &M_[at(i * kStride + i)], end - i);
      add_scaled(-factor, Yj, Y_[at(i)].data(), width_);
    }
  }
}

/// Inverse of S's Cholesky factor for the equations alone: five solves follow, and two products have no chain of
/// dependent steps. (S^-1 itself would lose too many digits.)
void ConeProgram::invert_factor() {
  for (auto& row : L_inverse_) row.fill(0.0);
  for (int i = 0; i < m_; ++i) {
    const double scale = S_[at(i)][at(i)];
    for (int k = 0; k < i; ++k)
      add_scaled(-scale * S_[at(i)][at(k)], L_inverse_[at(k)].data(), L_inverse_[at(i)].data(), 8);
    L_inverse_[at(i)][at(i)] = scale;
  }
}

bool ConeProgram::factorise() {
  scale_rows();
  assemble();
  load_columns();
  for (int b = 0; b < n_blocks_; ++b) factorise_block(blocks_[at(b)][0], blocks_[at(b)][1]);
  const int n = n_columns_;
  for (int a = 0; a <= n; ++a) std::fill_n(S_[at(a)].begin(), width_, 0.0);
  for (int i = 0; i < n_v_; ++i) {
    const ColumnVector& Yi = Y_[at(i)];
    for (int a = 0; a <= n; ++a) add_scaled(Yi[at(a)], Yi.data(), S_[at(a)].data(), (a / 4 + 1) * 4);
  }
  for (int k = 0; k < m_; ++k) S_[at(n)][at(k)] -= q_r_[at(k)];
  for (int h = 0; h < n_hard_; ++h) {
    S_[at(m_ + h)][at(m_ + h)] += hard_[at(h)].softness;
    S_[at(n)][at(m_ + h)] -= hard_[at(h)].q;
  }
  // Cholesky of the columns without r, inverse diagonal.
  for (int i = 0; i < n; ++i) {
    double* Li = S_[at(i)].data();
    for (int j = 0; j < i; ++j) Li[j] = (Li[j] - dot(Li, S_[at(j)].data(), j)) * S_[at(j)][at(j)];
    const double least = std::max(kRounding * Li[i], i < m_ ? 0.0 : hard_[at(i - m_)].softness);
    const double pivot = std::max(least, Li[i] - dot(Li, Li, i));
    Li[i] = pivot > 0.0 ? 1.0 / std::sqrt(pivot) : 0.0;
  }
  std::copy_n(S_[at(n)].begin(), n, St_.begin());
  for (int i = 0; i < n; ++i) St_[at(i)] = (St_[at(i)] - dot(S_[at(i)].data(), St_.data(), i)) * S_[at(i)][at(i)];
  border_ = w_ - S_[at(n)][at(n)] + dot(St_.data(), St_.data(), n);
  for (int i = n - 1; i >= 0; --i) {
    St_[at(i)] *= S_[at(i)][at(i)];
    add_scaled(-St_[at(i)], S_[at(i)].data(), St_.data(), i);
  }
  if (n_hard_ == 0) invert_factor();
  return std::isfinite(border_) && border_ > 0.0;
}

/// Y^T a.
void ConeProgram::project(const double* a, ColumnVector& sum) const {
  std::fill_n(sum.begin(), width_, 0.0);
  for (int i = 0; i < n_v_; ++i) add_scaled(a[i], Y_[at(i)].data(), sum.data(), width_);
}

/// From a = L^-1 (right side of v), the right side of r and e = columns M^-1 (right side of v) - (right side of the
/// columns): v, r, y of the reduced system. `a` becomes v (scaled).
void ConeProgram::back_substitute(double* a, double right_r, ColumnVector& e, Solution& x) const {
  const int n = n_columns_;
  const double r = (right_r + dot(St_.data(), e.data(), n)) / border_;
  if (n_hard_ == 0) {
    std::fill(e.begin() + n, e.begin() + 8, 0.0);
    std::array<double, 8> y{};
    for (int i = 0; i < n; ++i)
      add_scaled(dot_of_fours(L_inverse_[at(i)].data(), e.data(), 8), L_inverse_[at(i)].data(), y.data(), 8);
    std::copy_n(y.begin(), n, e.begin());
  } else {
    for (int i = 0; i < n; ++i) e[at(i)] = (e[at(i)] - dot(S_[at(i)].data(), e.data(), i)) * S_[at(i)][at(i)];
    for (int i = n - 1; i >= 0; --i) {
      e[at(i)] *= S_[at(i)][at(i)];
      add_scaled(-e[at(i)], S_[at(i)].data(), e.data(), i);
    }
  }
  for (int k = 0; k < n; ++k) x.y[at(k)] = e[at(k)] -= r * St_[at(k)];
  e[at(n)] = x.r = r;
  std::fill(e.begin() + n + 1, e.begin() + width_, 0.0);
  for (int i = 0; i < n_v_; ++i) a[i] -= dot_of_fours(Y_[at(i)].data(), e.data(), width_);
  for (int b = 0; b < n_blocks_; ++b) {
    const auto [first, size] = blocks_[at(b)];
    if (size == 3) {
      const double* M = &M_[at(first * kStride + first)];
      double* x3 = a + first;
      const double* inverse = &inverse_diagonal_[at(first)];
      x3[2] *= inverse[2];
      x3[1] = (x3[1] - M[kStride + 2] * x3[2]) * inverse[1];
      x3[0] = (x3[0] - M[1] * x3[1] - M[2] * x3[2]) * inverse[0];
      continue;
    }
    for (int i = first + size - 1; i >= first; --i)
      a[i] = (a[i] - dot(&M_[at(i * kStride + i + 1)], a + i + 1, first + size - i - 1)) * inverse_diagonal_[at(i)];
  }
}

/// In: right-hand sides (v, r, y) of [M q C^T; q^T w c^T; C c -softness], C the equations and hard rows; out: solution.
void ConeProgram::solve_reduced(Solution& x, bool is_refined) const {
  double* v = x.v.data();
  for (int b = 0; b < n_blocks_; ++b) {
    const auto [first, size] = blocks_[at(b)];
    if (size == 3) {
      const double* M = &M_[at(first * kStride + first)];
      double* v3 = v + first;
      const double* inverse = &inverse_diagonal_[at(first)];
      v3[0] *= inverse[0];
      v3[1] = (v3[1] - M[1] * v3[0]) * inverse[1];
      v3[2] = (v3[2] - M[2] * v3[0] - M[kStride + 2] * v3[1]) * inverse[2];
      continue;
    }
    for (int i = first; i < first + size; ++i) {
      v[i] *= inverse_diagonal_[at(i)];
      add_scaled(-v[i], &M_[at(i * kStride + i + 1)], v + i + 1, first + size - i - 1);
    }
  }
  const int n = n_columns_;
  ColumnVector e{};
  ColumnVector target;
  std::copy_n(x.y.begin(), n, target.begin());
  project(v, e);
  const double right_r = x.r - e[at(n)];
  for (int k = 0; k < n; ++k) e[at(k)] -= target[at(k)];
  back_substitute(v, right_r, e, x);
  if (!is_refined) return;

  // Large cancelling pulls leave rounding in the columns' equations that would spoil equilibrium: refine.
  double before = 1e300;
  for (int pass = 0; pass < kMaxRefinements; ++pass) {
    double worst = 0.0;
    for (int k = 0; k < m_; ++k) e[at(k)] = dot(QW_[at(k)].data(), v, n_v_) + q_r_[at(k)] * x.r - target[at(k)];
    for (int h = 0; h < n_hard_; ++h) {
      const HardRow& row = hard_[at(h)];
      e[at(m_ + h)] = row.sign * dot(row.scaled, v + row.first, row.count) + row.q * x.r -
                      row.softness * x.y[at(m_ + h)] - target[at(m_ + h)];
    }
    for (int k = 0; k < n; ++k) worst = std::max(worst, std::abs(e[at(k)]));
    if (worst < kRefine || worst > 0.5 * before) return;
    before = worst;
    Solution change;
    back_substitute(change.v.data(), 0.0, e, change);
    add_scaled(1.0, change.v.data(), v, n_v_);
    x.r += change.r;
    for (int k = 0; k < n; ++k) x.y[at(k)] += change.y[at(k)];
  }
}

}  // namespace steepwright::statics
