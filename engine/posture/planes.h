#pragma once

/// The gradients of the last postures of a search, as planes that model a value with kinks from below: each with how
/// far it lies under the value at the posture, and how it rises with a step (step.h).

#include "engine/posture/rows.h"

#include <array>

namespace steepwright::posture {

class Planes {
 public:
  static constexpr int kMost = 12;

  void clear() { n_ = 0; }
  [[nodiscard]] int size() const { return n_; }
  /// The plane at the posture itself.
  void add_newest(const body::DofVector& gradient);
  /// Another one, `below` the value at the posture; the one farthest below gives way when there are too many.
  void add(const body::DofVector& gradient, double below);
  /// Old planes may stand in the way that are no longer true: all but the newest go.
  void forget_old();
  /// After the step d, by which the value rose. They sink with its square, because the value is not convex.
  void move(const body::DofVector& d, double rise);
  /// By how much the highest plane stands above the value here after a step; -1e30 without planes.
  [[nodiscard]] double find_rise(const body::DofVector& d) const;
  /// As one-sided rows behind the last ones: after a step all planes lie at least `fall` below the value here.
  void add_rows(double fall, int n_dof, Rows& rows) const;

 private:
  std::array<body::DofVector, kMost> gradients_;
  std::array<double, kMost> below_{};
  body::DofVector newest_;
  int n_ = 0;
};

}  // namespace steepwright::posture
