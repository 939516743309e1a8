#pragma once

/// Loops over short contiguous arrays, written so that the compiler vectorises them without reassociation flags.

#include <cstddef>

namespace steepwright::statics {

/// Index of a std::array: counts and indices of this part are int.
[[nodiscard]] inline std::size_t at(int i) { return static_cast<std::size_t>(i); }

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

/// The same for n a multiple of 4.
[[nodiscard]] inline double dot_of_fours(const double* a, const double* b, int n) {
  double s0 = 0.0;
  double s1 = 0.0;
  double s2 = 0.0;
  double s3 = 0.0;
  for (int i = 0; i < n; i += 4) {
    s0 += a[i] * b[i];
    s1 += a[i + 1] * b[i + 1];
    s2 += a[i + 2] * b[i + 2];
    s3 += a[i + 3] * b[i + 3];
  }
  return (s0 + s1) + (s2 + s3);
}

/// Entries first .. first + count - 1 of a row.
struct Range {
  int first = 0;
  int count = 0;
};

/// The whole points (three entries each) that a row touches: a limb's joint feels that limb's contacts only.
[[nodiscard]] inline Range find_nonzero_range(const double* row, int n) {
  int first = 0;
  int end = n;
  while (first < end && row[first] == 0.0) ++first;
  while (end > first && row[end - 1] == 0.0) --end;
  first = first / 3 * 3;
  end = (end + 2) / 3 * 3;
  return {first, end - first};
}

/// Givens rotation of n pairs of entries, (a, b) <- (c a + s b, c b - s a).
inline void rotate(double c, double s, double* __restrict a, double* __restrict b, int n) {
  for (int k = 0; k < n; ++k) {
    const double top = c * a[k] + s * b[k];
    b[k] = c * b[k] - s * a[k];
    a[k] = top;
  }
}

/// y += factor x.
inline void add_scaled(double factor, const double* __restrict x, double* __restrict y, int n) {
  for (int i = 0; i < n; ++i) y[i] += factor * x[i];
}

}  // namespace steepwright::statics
