// Building a program, the outer loop and its outcome. The linear algebra stands in cone_elimination.cpp, the steps in
// cone_step.cpp.

#include "engine/statics/cone_program.h"

#include "engine/statics/dense.h"

#include <algorithm>
#include <cmath>

namespace steepwright::statics {

namespace {

constexpr int kMaxIterations = 60;
constexpr double kTight = 5e-9;        // residuals and gap asked for, in body weights
constexpr double kLoose = 1e-7;        // accepted when rounding stops the progress
constexpr double kKeep = 1e-4;         // iterates better than this are remembered
constexpr double kCertificate = 1e-8;  // residual of a proof against its strength
constexpr double kLeastStep = 1e-8;    // shorter steps are rounding
constexpr double kToBoundary = 0.99;   // share of the way to the boundary
constexpr double kDependent = 1e-9;    // an equation this close to the others' span is one of them
constexpr double kConsistent = 1e-9;   // and must then agree with them this well

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
  progress.value = value;
  return progress;
}

ConeProgram::Outcome ConeProgram::solve(double value_share) {
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
  double accepted = kLoose;
  for (; iterations_ < kMaxIterations; ++iterations_) {
    calc_residuals();
    const Progress progress = find_progress();
    if (progress.least() < best_error) {
      best_error = progress.least();
      best = progress.outcome();
      best_scale_ = best == Outcome::kInfeasible ? 1.0 / std::abs(progress.strength) : 1.0 / tau_;
      keep_best();
      const double wanted = best == Outcome::kSolved ? std::max(kTight, value_share * progress.value) : kCertificate;
      accepted = std::max(kLoose, wanted);
      if (best_error < wanted) break;
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
  return best_error < accepted ? best : Outcome::kStalled;
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
