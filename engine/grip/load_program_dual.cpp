// The dual method of the finger's program: from the ties of a neighbouring posture, with long steps.

#include "engine/grip/load_program.h"

#include <Eigen/LU>

#include <algorithm>
#include <cmath>

namespace steepwright::grip {

namespace {

/// A column depends on others when elimination leaves less than this share of it.
constexpr double kDependent = 1e-7;
/// A variable is negative when it is below this share of the sum of limits.
constexpr double kNegative = 1e-11;
constexpr int kMaxDualSteps = 30;
/// Keeps a tie's zero out of a division.
constexpr double kTiny = 1e-300;

}  // namespace

void LoadProgram::place(const Ties& ties) {
  reset_basis();
  for (const Tie& tie : ties) key_[group_of(tie.column)] = tie.key;
  if (ties.full() && place_all(ties)) return;
  // Elimination by the largest entry finds a row for each tie; the others keep their artificials.
  std::array<Row, kRows> eliminated;
  std::array<Eigen::Index, kRows> pivots{};
  std::size_t n_placed = 0;
  for (const Tie& tie : ties) {
    Row column = column_from_key(tie.column);
    const double size = column.cwiseAbs().maxCoeff();
    for (std::size_t k = 0; k < n_placed; ++k) column -= column[pivots[k]] * eliminated[k];
    Eigen::Index pivot = 0;
    if (column.cwiseAbs().maxCoeff(&pivot) <= kDependent * size) continue;
    eliminated[n_placed] = column / column[pivot];
    pivots[n_placed] = pivot;
    ++n_placed;
    basic_[static_cast<std::size_t>(pivot)] = tie.column;
    ++n_basic_[group_of(tie.column)];
  }
  invert_basis();
}

bool LoadProgram::place_all(const Ties& ties) {
  Eigen::Matrix<double, kRows, kRows> basis;
  double size = 1.0;
  for (std::size_t i = 0; i < ties.size(); ++i) {
    basis.col(at(i)) = column_from_key(ties[i].column);
    size *= basis.col(at(i)).norm();
  }
  double determinant = 0.0;
  bool is_invertible = false;
  basis.computeInverseAndDetWithCheck(inverse_, determinant, is_invertible, kDependent * size);
  if (!is_invertible) return false;
  for (std::size_t i = 0; i < ties.size(); ++i) {
    basic_[i] = ties[i].column;
    basic_gain_[at(i)] = gain_from_key(basic_[i]);
    ++n_basic_[group_of(basic_[i])];
  }
  return true;
}

std::size_t LoadProgram::choose_keys() {
  for (std::size_t g = 0; g < n_groups_; ++g) {
    const Eigen::Index i = at(g);
    // The slack is worth nothing.
    const std::size_t better = reduced_[2][i] > reduced_[1][i] ? 2 : 1;
    const std::size_t best = column(g, reduced_[better][i] > 0.0 ? better : 0);
    if (n_basic_[g] == 0) {
      key_[g] = best;
    } else if (profit(best) > profit(key_[g]) + kProfit) {
      return g;
    }
  }
  sum_keys();
  return kNone;
}

double LoadProgram::start_from(const Ties& ties) {
  Ties kept = ties;
  for (;;) {
    place(kept);
    update_profits();
    const std::size_t beaten = choose_keys();
    if (beaten == kNone) break;
    Ties others;
    for (const Tie& tie : kept) {
      if (group_of(tie.column) != beaten) others.push_back(tie);
    }
    kept = others;
  }
  double bound = 0.0;
  for (std::size_t g = 0; g < n_groups_; ++g) bound += limits_[at(g)] * profit(key_[g]);
  return bound;
}

std::size_t LoadProgram::find_leaving(double least_x) {
  std::size_t worst = kNone;
  bool is_key = false;
  for (std::size_t i = 0; i < kRows; ++i) {
    const bool is_artificial = basic_[i] == kNone;
    const double basic_x = basic_x_[at(i)];
    const double x = is_artificial ? -std::abs(basic_x) : basic_x;
    if (x < least_x) {
      least_x = x;
      worst = i;
      is_key = false;
    }
    const double key_x = is_artificial ? 0.0 : find_key_x(group_of(basic_[i]));
    if (key_x < least_x) {
      least_x = key_x;
      worst = i;
      is_key = true;
    }
  }
  if (is_key) swap_key(worst);
  return worst;
}

LoadProgram::Crossing LoadProgram::find_crossing(std::size_t group) const {
  const Eigen::Index g = at(group);
  const std::size_t key = place_of(key_[group]);
  Crossing crossing;
  if (limits_[g] <= 0.0) return crossing;
  for (std::size_t k = 0; k < kPlaces; ++k) {
    const double gained = slope_[k][g] - slope_[key][g] - kPivot;
    const double nearness = gained / (std::max(0.0, reduced_[key][g] - reduced_[k][g]) + kTiny);
    if (nearness > crossing.nearness) crossing = {nearness, column(group, k)};
  }
  return crossing;
}

void LoadProgram::find_crossings() {
  const Eigen::Index n = at(n_groups_);
  PerGroup slope;
  PerGroup worth;
  for (std::size_t i = 0; i < n_groups_; ++i) {
    const std::size_t key = place_of(key_[i]);
    slope[at(i)] = slope_[key][at(i)] + kPivot;
    worth[at(i)] = reduced_[key][at(i)];
  }
  // No branches: what gains nothing comes out negative.
  nearness_.head(n).setZero();
  for (std::size_t k = 0; k < kPlaces; ++k) {
    nearness_.head(n) = nearness_.head(n).max((slope_[k].head(n) - slope.head(n)) /
                                              ((worth.head(n) - reduced_[k].head(n)).max(0.0) + kTiny));
  }
  for (Eigen::Index g = 0; g < n; ++g) nearness_[g] = limits_[g] > 0.0 ? nearness_[g] : 0.0;
}

double LoadProgram::exchange(std::size_t leaving) {
  const Eigen::Index n = at(n_groups_);
  const double x = basic_x_[at(leaving)];
  const Row direction = (x < 0.0 ? -1.0 : 1.0) * inverse_.row(at(leaving)).transpose();
  for (std::size_t k = 1; k < kPlaces; ++k) {
    const auto& rows = rows_[k];
    slope_[k].head(n) = direction[0] * rows[0].head(n) + direction[1] * rows[1].head(n) +
                        direction[2] * rows[2].head(n) + direction[3] * rows[3].head(n);
  }
  find_crossings();
  double descent = std::abs(x);
  double fallen = 0.0;
  double last = 0.0;
  for (;;) {
    Eigen::Index nearest = 0;
    if (nearness_.head(n).maxCoeff(&nearest) <= 0.0) return kNever;
    const auto group = static_cast<std::size_t>(nearest);
    const Crossing crossing = find_crossing(group);
    const double step = 1.0 / crossing.nearness;
    fallen += descent * (step - last);
    last = step;
    descent -= limits_[nearest] * (slope_[place_of(crossing.column)][nearest] - slope_[place_of(key_[group])][nearest]);
    if (descent > 0.0 && n_basic_[group] == 0) {
      flip_key(group, crossing.column);
      nearness_[nearest] = find_crossing(group).nearness;
      continue;
    }
    for (std::size_t k = 1; k < kPlaces; ++k) reduced_[k].head(n) += step * slope_[k].head(n);
    replace(leaving, crossing.column, inverse_ * column_from_key(crossing.column));
    return fallen;
  }
}

LoadProgram::Status LoadProgram::solve_from(const Ties& ties, double least) {
  const double sum = limits_.head(at(n_groups_)).sum();
  double bound = start_from(ties);
  bool is_fresh = true;
  for (steps_ = 0; steps_ < kMaxDualSteps; ++steps_) {
    if (bound <= least) {
      price_.noalias() = inverse_.transpose() * basic_gain_;
      value_ = std::max(0.0, bound);
      return Status::kNotAbove;
    }
    update_x();
    const std::size_t leaving = find_leaving(-kNegative * sum);
    if (leaving != kNone) {
      const double fallen = exchange(leaving);
      if (fallen == kNever) break;
      bound -= fallen;
      is_fresh = false;
      continue;
    }
    if (is_fresh || steps_ <= kTrustedSteps) {
      price_.noalias() = inverse_.transpose() * basic_gain_;
      store_value();
      return Status::kOptimal;
    }
    // The last word is said with an inverse from scratch.
    factor();
    is_fresh = true;
  }
  reset_basis();
  return solve();
}

}  // namespace steepwright::grip
