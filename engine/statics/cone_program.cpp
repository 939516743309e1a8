#include "engine/statics/cone_program.h"

#include "engine/statics/dense.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::statics {

namespace {

constexpr int kMaxIterations = 60;
constexpr double kTight = 5e-9;        // residuals and gap asked for, in body weights
constexpr double kLoose = 1e-7;        // accepted when rounding stops the progress
constexpr double kKeep = 1e-4;         // iterates better than this are remembered
constexpr double kCertificate = 1e-8;  // residual of a proof against its strength
// Rows heavier than this (against the 1 of the cones) stand beside the equations.
constexpr double kHard = 1e6;
constexpr double kRounding = 1e-14;  // pivots below this share of their diagonal are rounding
constexpr int kMaxRefinements = 3;
constexpr double kRefine = 1e-11;     // equation errors worth a refinement
constexpr double kLeastStep = 1e-8;   // shorter steps are rounding
constexpr double kToBoundary = 0.99;  // share of the way to the boundary
constexpr double kDependent = 1e-9;   // an equation this close to the others' span is one of them
constexpr double kConsistent = 1e-9;  // and must then agree with them this well
constexpr double kTouch = 1e-12;      // share of b^2 that is rounding in b^2 - a c
constexpr double kInfinity = std::numeric_limits<double>::infinity();

std::size_t at(int i) { return static_cast<std::size_t>(i); }

using Triple = std::array<double, 3>;

double lorentz(const Triple& a) { return a[0] * a[0] - a[1] * a[1] - a[2] * a[2]; }

/// [w0 x0 + w1.x1; x0 w1 + x1 + (w1.x1) / (1 + w0) w1], with w1 negated for the inverse.
Triple scale_by(const Triple& w, double sign, const Triple& x) {
  const double along = w[1] * x[1] + w[2] * x[2];
  const double shift = sign * x[0] + along / (1.0 + w[0]);
  return {w[0] * x[0] + sign * along, x[1] + shift * w[1], x[2] + shift * w[2]};
}

/// Jordan product's inverse: q with lambda o q = d.
Triple divide(const Triple& lambda, const Triple& d) {
  const double rho = lorentz(lambda);
  const double along = lambda[1] * d[1] + lambda[2] * d[2];
  const double factor = (along / lambda[0] - d[0]) / rho;
  return {(lambda[0] * d[0] - along) / rho, factor * lambda[1] + d[1] / lambda[0],
          factor * lambda[2] + d[2] / lambda[0]};
}

/// Largest step with s + step ds in the cone.
double find_cone_step(const Triple& s, const Triple& ds) {
  const double a = lorentz(ds);
  const double b = s[0] * ds[0] - s[1] * ds[1] - s[2] * ds[2];
  const double c = std::max(0.0, lorentz(s));
  double root2 = b * b - a * c;
  // Straight at the apex the two roots fall together: their discriminant is rounding of either sign.
  if (root2 < 0.0 && root2 > -kTouch * b * b) root2 = 0.0;
  if (root2 < 0.0) return kInfinity;
  const double denominator = -b + std::sqrt(root2);
  return denominator > 0.0 ? c / denominator : kInfinity;
}

/// Symmetric 3 x 3 matrix in packed lower triangle times x.
void multiply(const std::array<double, 6>& m, const double* x, double* y) {
  y[0] = m[0] * x[0] + m[1] * x[1] + m[3] * x[2];
  y[1] = m[1] * x[0] + m[2] * x[1] + m[4] * x[2];
  y[2] = m[3] * x[0] + m[4] * x[1] + m[5] * x[2];
}

}  // namespace

void ConeProgram::resize(int n_points, double cost) {
  n_cones_ = n_points;
  n_v_ = 3 * n_points;
  n_rows_ = n_pairs_ = n_blocks_ = 0;
  c_ = cost;
  for (auto& row : A_) std::fill_n(row.begin(), n_v_, 0.0);
  b_.fill(0.0);
  std::fill_n(cone_g_.begin(), n_points, 0.0);
}

void ConeProgram::add_block(int first_point, int n_points) {
  blocks_[at(n_blocks_++)] = {3 * first_point, 3 * n_points};
}

int ConeProgram::add_row(const ConeRow& row) {
  STEEPWRIGHT_ASSERT(n_rows_ < kMaxRows);
  Row& own = rows_[at(n_rows_)];
  own.first = 3 * row.first_point;
  own.n_points = row.n_points;
  own.a = row.a;
  own.scalar.q = row.q;
  own.scalar.h = row.h;
  return n_rows_++;
}

double* ConeProgram::add_pair(double q_upper, double h_upper, double q_lower, double h_lower) {
  Pair& pair = pairs_[at(n_pairs_)];
  pair.upper.q = q_upper;
  pair.upper.h = h_upper;
  pair.lower.q = q_lower;
  pair.lower.h = h_lower;
  return &pair_rows_[at(kStride * n_pairs_++)];
}

template <typename ScalarFunction>
void ConeProgram::for_each_scalar(ScalarFunction&& visit) {
  for (int i = 0; i < n_rows_; ++i) visit(rows_[at(i)].scalar);
  for (int j = 0; j < n_pairs_; ++j) {
    visit(pairs_[at(j)].upper);
    visit(pairs_[at(j)].lower);
  }
}

template <typename ScalarFunction>
void ConeProgram::for_each_scalar(ScalarFunction&& visit) const {
  for (int i = 0; i < n_rows_; ++i) visit(rows_[at(i)].scalar);
  for (int j = 0; j < n_pairs_; ++j) {
    visit(pairs_[at(j)].upper);
    visit(pairs_[at(j)].lower);
  }
}

/// Orthonormal rows by Gram-Schmidt with pivoting, each orthogonalised twice. False when a dependent row contradicts
/// the others; y_out_ is then the proof: sum y_k A_k = 0 with y . b < 0.
bool ConeProgram::reduce_equations() {
  std::array<std::array<double, kMaxForce>, 6> rest = A_;
  std::array<double, 6> size{};
  std::array<std::array<double, 6>, 6> share{};  // A_k = sum_j share[k][j] Q_j + rest_k
  std::array<bool, 6> is_done{};
  for (int k = 0; k < 6; ++k) size[at(k)] = std::sqrt(dot(A_[at(k)].data(), A_[at(k)].data(), n_v_));
  m_ = 0;
  for (int step = 0; step < 6; ++step) {
    int best = -1;
    double longest = kDependent;
    for (int k = 0; k < 6; ++k) {
      if (is_done[at(k)]) continue;
      const double length = std::sqrt(dot(rest[at(k)].data(), rest[at(k)].data(), n_v_));
      if (length > longest * std::max(1.0, size[at(k)])) {
        longest = length / std::max(1.0, size[at(k)]);
        best = k;
      }
    }
    if (best < 0) break;
    auto& q = Q_[at(m_)];
    q = rest[at(best)];
    for (int j = 0; j < m_; ++j) {
      const double again = dot(Q_[at(j)].data(), q.data(), n_v_);
      add_scaled(-again, Q_[at(j)].data(), q.data(), n_v_);
      share[at(best)][at(j)] += again;
    }
    const double length = std::sqrt(dot(q.data(), q.data(), n_v_));
    for (int i = 0; i < n_v_; ++i) q[at(i)] /= length;
    share[at(best)][at(m_)] = length;
    is_done[at(best)] = true;
    chosen_[at(m_)] = best;
    for (int k = 0; k < 6; ++k) {
      if (is_done[at(k)]) continue;
      const double along = dot(q.data(), rest[at(k)].data(), n_v_);
      add_scaled(-along, q.data(), rest[at(k)].data(), n_v_);
      share[at(k)][at(m_)] += along;
    }
    ++m_;
  }
  for (int i = 0; i < m_; ++i) {
    T_[at(i)] = share[at(chosen_[at(i)])];
    double b = b_[at(chosen_[at(i)])];
    for (int j = 0; j < i; ++j) b -= T_[at(i)][at(j)] * qb_[at(j)];
    qb_[at(i)] = b / T_[at(i)][at(i)];
  }
  for (int k = 0; k < 6; ++k) {
    if (is_done[at(k)]) continue;
    double excess = b_[at(k)];
    for (int j = 0; j < m_; ++j) excess -= share[at(k)][at(j)] * qb_[at(j)];
    if (std::abs(excess) <= kConsistent) continue;
    // A_k - share T^-1 A_chosen = 0, but the targets differ.
    std::array<double, 6> w{};
    for (int i = m_ - 1; i >= 0; --i) {
      w[at(i)] = share[at(k)][at(i)];
      for (int j = i + 1; j < m_; ++j) w[at(i)] -= T_[at(j)][at(i)] * w[at(j)];
      w[at(i)] /= T_[at(i)][at(i)];
    }
    const double sign = excess > 0.0 ? -1.0 : 1.0;
    y_out_.fill(0.0);
    y_out_[at(k)] = sign;
    for (int i = 0; i < m_; ++i) y_out_[at(chosen_[at(i)])] = -sign * w[at(i)];
    return false;
  }
  return true;
}

/// Finds what each torque row touches, and puts the unknowns at the apexes: v_p = s_p + g_p r e0 with s_p in the plain
/// cone. r then stands in the equations and rows instead of the cones, where its column would cancel against them.
void ConeProgram::prepare_rows() {
  for (int k = 0; k < m_; ++k) {
    q_r_[at(k)] = 0.0;
    for (int p = 0; p < n_cones_; ++p) q_r_[at(k)] += Q_[at(k)][at(3 * p)] * cone_g_[at(p)];
  }
  for (int i = 0; i < n_rows_; ++i) {
    Row& row = rows_[at(i)];
    for (int p = 0; p < row.n_points; ++p) row.scalar.q += row.a[0] * cone_g_[at(row.first / 3 + p)];
  }
  for (int j = 0; j < n_pairs_; ++j) {
    const Range range = find_nonzero_range(&pair_rows_[at(kStride * j)], n_v_);
    pairs_[at(j)].first = range.first;
    pairs_[at(j)].count = range.count;
    double shift = 0.0;
    for (int p = 0; p < n_cones_; ++p) shift += pair_rows_[at(kStride * j + 3 * p)] * cone_g_[at(p)];
    pairs_[at(j)].upper.q += shift;
    pairs_[at(j)].lower.q -= shift;
  }
}

void ConeProgram::start() {
  x_ = Solution{};
  for (int p = 0; p < n_cones_; ++p) cones_[at(p)].s = cones_[at(p)].z = {1.0, 0.0, 0.0};
  for_each_scalar([](Scalar& scalar) { scalar.s = scalar.z = scalar.best_z = 1.0; });
  best_x_ = x_;
  best_scale_ = 1.0;
  tau_ = kappa_ = 1.0;
}

void ConeProgram::calc_residuals() {
  std::fill_n(rx_.v.begin(), n_v_, 0.0);
  rx_.r = -c_ * tau_;
  double gap = kappa_ * tau_;
  double slope = kappa_ + c_ * x_.r;
  for (int k = 0; k < m_; ++k) {
    add_scaled(-x_.y[at(k)], Q_[at(k)].data(), rx_.v.data(), n_v_);
    rx_.y[at(k)] = dot(Q_[at(k)].data(), x_.v.data(), n_v_) + q_r_[at(k)] * x_.r - qb_[at(k)] * tau_;
    rx_.r -= q_r_[at(k)] * x_.y[at(k)];
    slope += qb_[at(k)] * x_.y[at(k)];
  }
  for (int p = 0; p < n_cones_; ++p) {
    Cone& cone = cones_[at(p)];
    const double* v = &x_.v[at(3 * p)];
    for (int i = 0; i < 3; ++i) {
      cone.rz[at(i)] = cone.s[at(i)] - v[i];
      rx_.v[at(3 * p + i)] += cone.z[at(i)];
      gap += cone.s[at(i)] * cone.z[at(i)];
    }
  }
  const auto add_scalar = [&](Scalar& scalar, double product) {
    scalar.rz = scalar.s + product - scalar.h * tau_;
    rx_.r -= scalar.q * scalar.z;
    slope += scalar.h * scalar.z;
    gap += scalar.s * scalar.z;
  };
  for (int i = 0; i < n_rows_; ++i) {
    Row& row = rows_[at(i)];
    double product = row.scalar.q * x_.r;
    for (int p = 0; p < row.n_points; ++p) {
      for (int k = 0; k < 3; ++k) {
        product += row.a[at(k)] * x_.v[at(row.first + 3 * p + k)];
        rx_.v[at(row.first + 3 * p + k)] -= row.a[at(k)] * row.scalar.z;
      }
    }
    add_scalar(row.scalar, product);
  }
  for (int j = 0; j < n_pairs_; ++j) {
    Pair& pair = pairs_[at(j)];
    const double* t = &pair_rows_[at(kStride * j + pair.first)];
    const double product = dot(t, &x_.v[at(pair.first)], pair.count);
    add_scalar(pair.upper, product + pair.upper.q * x_.r);
    add_scalar(pair.lower, -product + pair.lower.q * x_.r);
    add_scaled(pair.lower.z - pair.upper.z, t, &rx_.v[at(pair.first)], pair.count);
  }
  rt_ = slope;
  mu_ = gap / (n_cones_ + n_rows_ + 2 * n_pairs_ + 1);
}

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

/// K (x1, y1, z1) = (-c, b, h), and G x1 - h of every row.
void ConeProgram::solve_constant() {
  std::fill_n(one_.v.begin(), n_v_, 0.0);
  one_.r = -c_;
  std::copy_n(qb_.begin(), m_, one_.y.begin());
  const auto find_pull = [&](const Scalar& scalar) {
    if (scalar.hard < 0) return scalar.weight * scalar.h;
    one_.y[at(scalar.hard)] = scalar.h;
    return 0.0;
  };
  for (int i = 0; i < n_rows_; ++i) {
    const Row& row = rows_[at(i)];
    const double pull = find_pull(row.scalar);
    if (pull == 0.0) continue;
    one_.r += row.scalar.q * pull;
    add_scaled(pull, row.scaled.data(), &one_.v[at(row.first)], 3 * row.n_points);
  }
  for (int j = 0; j < n_pairs_; ++j) {
    const Pair& pair = pairs_[at(j)];
    const double upper = find_pull(pair.upper);
    const double lower = find_pull(pair.lower);
    one_.r += pair.upper.q * upper + pair.lower.q * lower;
    add_scaled(upper - lower, &pair_scaled_[at(kStride * j + pair.first)], &one_.v[at(pair.first)], pair.count);
  }
  solve_reduced(one_, true);
  one_slope_ = c_ * one_.r;
  for (int k = 0; k < m_; ++k) one_slope_ += qb_[at(k)] * one_.y[at(k)];
  visit_products(one_, [&](Scalar& scalar, double product) {
    scalar.Gx1 = product - scalar.h;
    scalar.z1 = scalar.hard < 0 ? scalar.weight * scalar.Gx1 : one_.y[at(scalar.hard)];
    one_slope_ += scalar.h * scalar.z1;
  });
}

/// Calls visit(scalar, G x) for every linear row, x.v scaled.
template <typename ProductFunction>
void ConeProgram::visit_products(const Solution& x, ProductFunction&& visit) {
  for (int i = 0; i < n_rows_; ++i) {
    Row& row = rows_[at(i)];
    visit(row.scalar, row.scalar.q * x.r + dot(row.scaled.data(), &x.v[at(row.first)], 3 * row.n_points));
  }
  for (int j = 0; j < n_pairs_; ++j) {
    Pair& pair = pairs_[at(j)];
    const double product = dot(&pair_scaled_[at(kStride * j + pair.first)], &x.v[at(pair.first)], pair.count);
    visit(pair.upper, product + pair.upper.q * x.r);
    visit(pair.lower, -product + pair.lower.q * x.r);
  }
}

/// Step for the residuals times `damping` and the complementarity target `center`; the corrector reads the affine
/// step that stands in ds, dz, dtau, dkappa.
void ConeProgram::calc_direction(double damping, double center, bool is_corrector) {
  scale_row(rx_.v.data(), dx_.v.data());
  for (int i = 0; i < n_v_; ++i) dx_.v[at(i)] *= damping;
  dx_.r = damping * rx_.r;
  for (int k = 0; k < m_; ++k) dx_.y[at(k)] = -damping * rx_.y[at(k)];

  for (int p = 0; p < n_cones_; ++p) {
    Cone& cone = cones_[at(p)];
    const Triple& l = cone.lambda;
    cone.shift = l;
    if (is_corrector) {
      const Triple& ds = cone.ds;
      const Triple& dz = cone.dz;
      cone.shift = divide(
          l, {l[0] * l[0] + l[1] * l[1] + l[2] * l[2] + ds[0] * dz[0] + ds[1] * dz[1] + ds[2] * dz[2] - center,
              2.0 * l[0] * l[1] + ds[0] * dz[1] + dz[0] * ds[1], 2.0 * l[0] * l[2] + ds[0] * dz[2] + dz[0] * ds[2]});
    }
    const Triple residual = scale_by(cone.w, -1.0, cone.rz);
    for (int i = 0; i < 3; ++i) {
      const double rhs = cone.shift[at(i)] - damping / cone.eta * residual[at(i)];
      cone.rhs[at(i)] = rhs;
      dx_.v[at(3 * p + i)] -= rhs;
    }
  }
  const auto load_scalar = [&](Scalar& scalar) {
    double shift = scalar.s;
    if (is_corrector) shift += (scalar.ds * scalar.dz - center) / scalar.z;
    scalar.rhs = shift - damping * scalar.rz;
    if (scalar.hard >= 0) {
      dx_.y[at(scalar.hard)] = scalar.rhs;
      return 0.0;
    }
    const double pull = scalar.weight * scalar.rhs;
    dx_.r += scalar.q * pull;
    return pull;
  };
  for (int i = 0; i < n_rows_; ++i) {
    Row& row = rows_[at(i)];
    add_scaled(load_scalar(row.scalar), row.scaled.data(), &dx_.v[at(row.first)], 3 * row.n_points);
  }
  for (int j = 0; j < n_pairs_; ++j) {
    Pair& pair = pairs_[at(j)];
    const double upper = load_scalar(pair.upper);
    const double lower = load_scalar(pair.lower);
    add_scaled(upper - lower, &pair_scaled_[at(kStride * j + pair.first)], &dx_.v[at(pair.first)], pair.count);
  }
  solve_reduced(dx_, is_corrector || n_hard_ > 0);  // the affine step only measures

  // dtau from the last equation.
  double slope = c_ * dx_.r;
  for (int k = 0; k < m_; ++k) slope += qb_[at(k)] * dx_.y[at(k)];
  double complementarity = kappa_ * tau_;
  if (is_corrector) complementarity += dtau_ * dkappa_ - center;
  visit_products(dx_, [&](Scalar& scalar, double product) {
    scalar.dz = scalar.hard < 0 ? scalar.weight * (product - scalar.rhs) : dx_.y[at(scalar.hard)];
    scalar.ds = product;
    slope += scalar.h * scalar.dz;
  });
  dtau_ = (damping * rt_ - complementarity / tau_ + slope) / (kappa_ / tau_ - one_slope_);
  dkappa_ = -(complementarity + kappa_ * dtau_) / tau_;

  for_each_scalar([&](Scalar& scalar) {
    scalar.ds = -damping * scalar.rz - scalar.ds - dtau_ * scalar.Gx1;
    scalar.dz += dtau_ * scalar.z1;
  });
  add_scaled(dtau_, one_.v.data(), dx_.v.data(), n_v_);
  dx_.r += dtau_ * one_.r;
  for (int k = 0; k < m_; ++k) dx_.y[at(k)] += dtau_ * one_.y[at(k)];
  calc_cone_steps(damping);
}

/// Slack and dual steps of the cones from primal and dual feasibility, so that rounding of the reduced system disturbs
/// the centring only: ds = -damping rz - G dx;  dz = Q^T dy + sum a dz_row - damping rx.
void ConeProgram::calc_cone_steps(double damping) {
  Solution sum;
  double* dz = sum.v.data();
  for (int i = 0; i < n_v_; ++i) dz[i] = -damping * rx_.v[at(i)];
  for (int k = 0; k < m_; ++k) add_scaled(dx_.y[at(k)], Q_[at(k)].data(), dz, n_v_);
  for (int i = 0; i < n_rows_; ++i) {
    const Row& row = rows_[at(i)];
    for (int p = 0; p < row.n_points; ++p)
      for (int k = 0; k < 3; ++k) dz[row.first + 3 * p + k] += row.a[at(k)] * row.scalar.dz;
  }
  for (int j = 0; j < n_pairs_; ++j) {
    const Pair& pair = pairs_[at(j)];
    add_scaled(pair.upper.dz - pair.lower.dz, &pair_rows_[at(kStride * j + pair.first)], dz + pair.first, pair.count);
  }
  for (int p = 0; p < n_cones_; ++p) {
    Cone& cone = cones_[at(p)];
    std::copy_n(dz + 3 * p, 3, cone.dz_plain.begin());
    multiply(cone.W, dz + 3 * p, cone.dz.data());
    // rhs - shift = -damping W^-1 rz
    for (int i = 0; i < 3; ++i) cone.ds[at(i)] = cone.rhs[at(i)] - cone.shift[at(i)] + dx_.v[at(3 * p + i)];
  }
}

double ConeProgram::find_step() const {
  double longest = kInfinity;
  for (int p = 0; p < n_cones_; ++p) {
    const Cone& cone = cones_[at(p)];
    longest = std::min({longest, find_cone_step(cone.lambda, cone.ds), find_cone_step(cone.lambda, cone.dz)});
  }
  // Largest relative decrease; one division at the end.
  double decrease = std::max(-dtau_ / tau_, -dkappa_ / kappa_);
  for_each_scalar([&](const Scalar& scalar) {
    decrease = std::max({decrease, -scalar.ds / scalar.s, -scalar.dz / scalar.z});
  });
  if (decrease > 0.0) longest = std::min(longest, 1.0 / decrease);
  return longest;
}

void ConeProgram::take_step(double step) {
  Solution change;
  scale_row(dx_.v.data(), change.v.data());
  add_scaled(step, change.v.data(), x_.v.data(), n_v_);
  x_.r += step * dx_.r;
  for (int k = 0; k < m_; ++k) x_.y[at(k)] += step * dx_.y[at(k)];
  for (int p = 0; p < n_cones_; ++p) {
    Cone& cone = cones_[at(p)];
    const Triple ds = scale_by(cone.w, 1.0, cone.ds);
    for (std::size_t i = 0; i < 3; ++i) {
      cone.s[i] += step * cone.eta * ds[i];
      cone.z[i] += step * cone.dz_plain[i];
    }
  }
  for_each_scalar([&](Scalar& scalar) {
    scalar.s += step * scalar.ds;
    scalar.z += step * scalar.dz;
  });
  tau_ += step * dtau_;
  kappa_ += step * dkappa_;
}

/// Largest residuals of the present iterate against the three ways to end.
ConeProgram::Progress ConeProgram::find_progress() const {
  double primal = 0.0;
  double primal_ray = 0.0;  // A x, G x + s without their targets
  double dual = std::abs(rx_.r);
  double dual_ray = std::abs(rx_.r + c_ * tau_);
  double strength = 0.0;  // b y + h z
  for (int i = 0; i < n_v_; ++i) dual = std::max(dual, std::abs(rx_.v[at(i)]));
  for (int i = 0; i < n_v_; ++i) dual_ray = std::max(dual_ray, std::abs(rx_.v[at(i)]));
  for (int k = 0; k < m_; ++k) {
    primal = std::max(primal, std::abs(rx_.y[at(k)]));
    primal_ray = std::max(primal_ray, std::abs(rx_.y[at(k)] + qb_[at(k)] * tau_));
    strength += qb_[at(k)] * x_.y[at(k)];
  }
  for (int p = 0; p < n_cones_; ++p)
    for (const double rz : cones_[at(p)].rz) {
      primal = std::max(primal, std::abs(rz));
      primal_ray = std::max(primal_ray, std::abs(rz));
    }
  for_each_scalar([&](const Scalar& scalar) {
    primal = std::max(primal, std::abs(scalar.rz));
    primal_ray = std::max(primal_ray, std::abs(scalar.rz + scalar.h * tau_));
    strength += scalar.h * scalar.z;
  });
  Progress progress;
  const double value = std::abs(c_ * x_.r) / tau_;
  progress.error = std::max({primal, dual, std::abs(c_ * x_.r + strength) / (1.0 + value)}) / tau_;
  if (strength < 0.0) progress.infeasible_error = dual_ray / -strength;
  if (c_ * x_.r < 0.0) progress.unbounded_error = primal_ray / -(c_ * x_.r);
  progress.strength = strength;
  return progress;
}

ConeProgram::Outcome ConeProgram::solve() {
  iterations_ = 0;
  if (!reduce_equations()) return Outcome::kInfeasible;
  if (n_pairs_ > 0) {  // torque rows couple all points
    blocks_[0] = {0, n_v_};
    n_blocks_ = 1;
  }
  prepare_rows();
  start();
  double best_error = kKeep;
  Outcome best = Outcome::kStalled;
  for (; iterations_ < kMaxIterations; ++iterations_) {
    calc_residuals();
    const Progress progress = find_progress();
    if (progress.least() < best_error) {
      best_error = progress.least();
      best = progress.outcome();
      best_scale_ = best == Outcome::kInfeasible ? 1.0 / std::abs(progress.strength) : 1.0 / tau_;
      keep_best();
      if (best_error < (best == Outcome::kSolved ? kTight : kCertificate)) break;
    } else if (best_error < kLoose) {
      break;  // rounding has ended the progress
    }
    calc_scaling();
    if (!factorise()) break;
    solve_constant();
    calc_direction(1.0, 0.0, false);
    const double affine = std::min(1.0, find_step());
    const double sigma = (1.0 - affine) * (1.0 - affine) * (1.0 - affine);
    calc_direction(1.0 - sigma, sigma * mu_, true);
    const double step = std::min(1.0, kToBoundary * find_step());
    if (!(step > kLeastStep)) break;
    take_step(step);
  }
  restore_best();
  write_back();
  return best_error < kLoose ? best : Outcome::kStalled;
}

void ConeProgram::keep_best() {
  best_x_ = x_;
  for_each_scalar([](Scalar& scalar) { scalar.best_z = scalar.z; });
}

void ConeProgram::restore_best() {
  x_ = best_x_;
  for_each_scalar([](Scalar& scalar) { scalar.z = scalar.best_z; });
}

void ConeProgram::write_back() {
  const double scale = best_scale_;
  for (int i = 0; i < n_v_; ++i) x_.v[at(i)] *= scale;
  x_.r *= scale;
  for (int p = 0; p < n_cones_; ++p) x_.v[at(3 * p)] += cone_g_[at(p)] * x_.r;
  for_each_scalar([&](Scalar& scalar) { scalar.z *= scale; });
  // The chosen rows of A are T Q, so their multipliers are T^-T y.
  y_out_.fill(0.0);
  ColumnVector y = x_.y;
  for (int i = m_ - 1; i >= 0; --i) {
    for (int j = i + 1; j < m_; ++j) y[at(i)] -= T_[at(j)][at(i)] * y[at(j)];
    y[at(i)] /= T_[at(i)][at(i)];
  }
  for (int i = 0; i < m_; ++i) y_out_[at(chosen_[at(i)])] = scale * y[at(i)];
}

}  // namespace steepwright::statics
