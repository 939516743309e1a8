#pragma once

/// Downhill simplex (Nelder & Mead 1965, from memory; coefficients 1, 2, 1/2, 1/2), uphill, in few dimensions and
/// without a heap. It can be stopped and taken up again, so that several may race.
///
/// `value(point, least)` is the worth of a point; what is worth no more than `least` need not be found exactly: any
/// number up to `least` will do, and the climb is the same.

#include <Eigen/Core>

#include <algorithm>
#include <array>
#include <cstddef>
#include <limits>

namespace steepwright::grip {

template <int N>
class NelderMead {
 public:
  using Point = Eigen::Matrix<double, N, 1>;
  static constexpr double kAny = -std::numeric_limits<double>::infinity();

  /// The simplex of `start`, worth `worth`, and a corner along each direction; looks_back: on its other side where that
  /// is better.
  template <typename Value>
  void start(const Point& start, double worth, const std::array<Point, N>& directions, bool looks_back,
             const Value& value) {
    set(0, start, worth);
    for (std::size_t i = 0; i < N; ++i) {
      set(i + 1, start + directions[i], value(start + directions[i], kAny));
      if (!looks_back || worth_[i + 1] >= worth) continue;
      const Point other = start - directions[i];
      const double other_worth = value(other, worth_[i + 1]);
      if (other_worth > worth_[i + 1]) set(i + 1, other, other_worth);
    }
    evaluations_ = 0;
  }

  /// Climbs until the corners agree within `tolerance` (share of the best) or `value` was called `budget` times.
  template <typename Value>
  void climb(int budget, double tolerance, const Value& value) {
    for (evaluations_ = 0; evaluations_ < budget;) {
      rank();
      if (worth_[best_] - worth_[worst_] < tolerance * worth_[best_]) return;
      step([&](const Point& p, double least) {
        ++evaluations_;
        return value(p, least);
      });
    }
    rank();
  }

  [[nodiscard]] const Point& best() const { return corners_[best_]; }
  [[nodiscard]] double best_worth() const { return worth_[best_]; }

 private:
  void set(std::size_t i, const Point& p, double worth) {
    corners_[i] = p;
    worth_[i] = worth;
  }

  void rank() {
    best_ = worst_ = 0;
    for (std::size_t i = 1; i <= N; ++i) {
      if (worth_[i] > worth_[best_]) best_ = i;
      if (worth_[i] < worth_[worst_]) worst_ = i;
    }
    second_ = best_;
    for (std::size_t i = 0; i <= N; ++i) {
      if (i != worst_ && worth_[i] < worth_[second_]) second_ = i;
    }
  }

  template <typename Value>
  void step(const Value& value) {
    Point centre = Point::Zero();
    for (std::size_t i = 0; i <= N; ++i) {
      if (i != worst_) centre += corners_[i];
    }
    centre /= N;
    const Point away = centre - corners_[worst_];
    const Point reflected = centre + away;
    const double reflected_worth = value(reflected, worth_[worst_]);
    if (reflected_worth > worth_[best_]) {
      const Point expanded = centre + 2.0 * away;
      const double expanded_worth = value(expanded, reflected_worth);
      if (expanded_worth > reflected_worth) {
        set(worst_, expanded, expanded_worth);
      } else {
        set(worst_, reflected, reflected_worth);
      }
      return;
    }
    const bool is_better = reflected_worth > worth_[worst_];
    if (reflected_worth > worth_[second_]) {
      set(worst_, reflected, reflected_worth);
      return;
    }
    const Point contracted = centre + (is_better ? 0.5 : -0.5) * away;
    const double least = std::max(reflected_worth, worth_[worst_]);
    const double contracted_worth = value(contracted, least);
    if (contracted_worth > least) {
      set(worst_, contracted, contracted_worth);
      return;
    }
    if (is_better) set(worst_, reflected, reflected_worth);
    const Point kept = corners_[best_];
    for (std::size_t i = 0; i <= N; ++i) {
      if (i == best_) continue;
      const Point shrunk = 0.5 * (kept + corners_[i]);
      set(i, shrunk, value(shrunk, kAny));
    }
  }

  std::array<Point, N + 1> corners_;
  std::array<double, N + 1> worth_{};
  std::size_t best_ = 0, worst_ = 0, second_ = 0;
  int evaluations_ = 0;
};

}  // namespace steepwright::grip
