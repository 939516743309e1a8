#pragma once

/// Algebra of the three-dimensional second-order cone, as Nesterov and Todd's scaling needs it.

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace steepwright::statics {

/// x = (x0, x1) with x1 of two entries; in the cone when x0 >= |x1|.
using Triple = std::array<double, 3>;

/// a0^2 - |a1|^2.
[[nodiscard]] inline double lorentz(const Triple& a) { return a[0] * a[0] - a[1] * a[1] - a[2] * a[2]; }

/// Scaling by w, w0^2 - |w1|^2 = 1: [w0 x0 + w1.x1; x0 w1 + x1 + (w1.x1) / (1 + w0) w1], with w1 negated for the
/// inverse.
[[nodiscard]] inline Triple scale_by(const Triple& w, double sign, const Triple& x) {
  const double along = w[1] * x[1] + w[2] * x[2];
  const double shift = sign * x[0] + along / (1.0 + w[0]);
  return {w[0] * x[0] + sign * along, x[1] + shift * w[1], x[2] + shift * w[2]};
}

/// Jordan product's inverse: q with lambda o q = d.
[[nodiscard]] inline Triple divide(const Triple& lambda, const Triple& d) {
  const double rho = lorentz(lambda);
  const double along = lambda[1] * d[1] + lambda[2] * d[2];
  const double factor = (along / lambda[0] - d[0]) / rho;
  return {(lambda[0] * d[0] - along) / rho, factor * lambda[1] + d[1] / lambda[0],
          factor * lambda[2] + d[2] / lambda[0]};
}

inline constexpr double kTouch = 1e-12;  ///< share of b^2 that is rounding in b^2 - a c

/// Largest step with s + step ds in the cone; infinite when it never leaves.
[[nodiscard]] inline double find_cone_step(const Triple& s, const Triple& ds) {
  const double a = lorentz(ds);
  const double b = s[0] * ds[0] - s[1] * ds[1] - s[2] * ds[2];
  const double c = std::max(0.0, lorentz(s));
  double root2 = b * b - a * c;
  // Straight at the apex the two roots fall together: their discriminant is rounding of either sign.
  if (root2 < 0.0 && root2 > -kTouch * b * b) root2 = 0.0;
  if (root2 < 0.0) return std::numeric_limits<double>::infinity();
  const double denominator = -b + std::sqrt(root2);
  return denominator > 0.0 ? c / denominator : std::numeric_limits<double>::infinity();
}

/// Symmetric 3 x 3 matrix in packed lower triangle times x.
inline void multiply(const std::array<double, 6>& m, const double* x, double* y) {
  y[0] = m[0] * x[0] + m[1] * x[1] + m[3] * x[2];
  y[1] = m[1] * x[0] + m[2] * x[1] + m[4] * x[2];
  y[2] = m[3] * x[0] + m[4] * x[1] + m[5] * x[2];
}

}  // namespace steepwright::statics
