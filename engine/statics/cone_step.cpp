// Residuals of the embedding, its predictor and corrector directions and the step along them.

#include "engine/statics/cone_program.h"
#include "engine/statics/dense.h"
#include "engine/statics/lorentz_cone.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::statics {

namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();

}  // namespace

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

}  // namespace steepwright::statics
