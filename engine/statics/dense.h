#pragma once

/// Loops over short contiguous arrays, written so that the compiler vectorises them without reassociation flags.

namespace steepwright::statics {

/// a . b with four partial sums.
[[nodiscard]] inline double dot(const double* a, const double* b, int n) {
  double s0 = 0.0;
  double s1 = 0.0;
  double s2 = 0.0;
  double s3 = 0.0;
  int i = 0;
  for (; i + 4 <= n; i += 4) {
    s0 += a[i] * b[i];
    s1 += a[i + 1] * b[i + 1];
    s2 += a[i + 2] * b[i + 2];
    s3 += a[i + 3] * b[i + 3];
  }
  for (; i < n; ++i) s0 += a[i] * b[i];
  return (s0 + s1) + (s2 + s3);
}

/// y += factor x.
inline void add_scaled(double factor, const double* __restrict x, double* __restrict y, int n) {
  for (int i = 0; i < n; ++i) y[i] += factor * x[i];
}

}  // namespace steepwright::statics
