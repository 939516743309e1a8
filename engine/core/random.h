#pragma once

/// Seeded random stream whose draws are the same on every platform and standard library.

#include <cmath>
#include <cstdint>

namespace steepwright {

/// splitmix64 (Steele, Lea & Flood 2014, from memory): small, splittable by seed, good enough for starts and draws.
class RandomStream {
 public:
  explicit RandomStream(std::uint64_t seed) : state_(seed) {}

  [[nodiscard]] std::uint64_t next() {
    std::uint64_t z = (state_ += 0x9E3779B97F4A7C15ULL);
    z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27U)) * 0x94D049BB133111EBULL;
    return z ^ (z >> 31U);
  }

  /// Uniform on [0, 1).
  [[nodiscard]] double uniform() { return static_cast<double>(next() >> 11U) * 0x1.0p-53; }
  [[nodiscard]] double uniform(double lower, double upper) { return lower + (upper - lower) * uniform(); }
  /// Uniform on (-range, range).
  [[nodiscard]] double symmetric(double range) { return range * (2.0 * uniform() - 1.0); }

  /// Standard normal (Box-Muller, one of the pair).
  [[nodiscard]] double normal() {
    const double u = 1.0 - uniform();
    const double v = uniform();
    return std::sqrt(-2.0 * std::log(u)) * std::cos(2.0 * 3.14159265358979323846 * v);
  }

 private:
  std::uint64_t state_;
};

}  // namespace steepwright
