#include "engine/grip/load_program.h"

#include <Eigen/LU>

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::grip {

namespace {

std::size_t at(int index) { return static_cast<std::size_t>(index); }

}  // namespace

template <int Rows>
void LoadProgram<Rows>::clear() {
  n_groups_ = 0;
  n_columns_ = 0;
  basic_.fill(kNone);
}

template <int Rows>
void LoadProgram<Rows>::reset_basis() {
  for (const int column : basic_) {
    if (column != kNone) is_basic_[at(column)] = false;
  }
  basic_.fill(kNone);
  for (std::size_t g = 0; g < n_groups_; ++g) key_[g] = first_[g];
}

template <int Rows>
void LoadProgram<Rows>::add_group(double limit) {
  STEEPWRIGHT_ASSERT(n_groups_ < kMaxGroups && limit >= 0.0);
  limits_[n_groups_] = limit;
  first_[n_groups_] = static_cast<int>(n_columns_);
  key_[n_groups_] = first_[n_groups_];
  ++n_groups_;
  add_column(Row::Zero());
}

template <int Rows>
std::size_t LoadProgram<Rows>::add_column(const Row& row) {
  STEEPWRIGHT_ASSERT(n_columns_ < kMaxColumns && n_groups_ > 0);
  for (int i = 0; i < Rows; ++i) rows_[at(i)][n_columns_] = row[i];
  gains_[n_columns_] = 0.0;
  group_[n_columns_] = static_cast<int>(n_groups_) - 1;
  is_basic_[n_columns_] = false;
  return n_columns_++;
}

template <int Rows>
void LoadProgram<Rows>::update_basis() {
  Eigen::Matrix<double, Rows, Rows> basis;
  Row basic_gain;
  for (int i = 0; i < Rows; ++i) {
    const int column = basic_[at(i)];
    basis.col(i) = column == kNone ? Row(Row::Unit(i)) : column_from_key(column);
    basic_gain[i] = column == kNone ? 0.0 : gain_from_key(column);
  }
  inverse_ = basis.inverse();
  Row keys = Row::Zero();
  for (std::size_t g = 0; g < n_groups_; ++g) {
    key_x_[g] = limits_[g];
    if (key_[g] != first_[g]) keys += limits_[g] * row(at(key_[g]));
  }
  basic_x_.noalias() = -(inverse_ * keys);
  price_.noalias() = inverse_.transpose() * basic_gain;
  for (int i = 0; i < Rows; ++i) {
    if (basic_[at(i)] != kNone) key_x_[at(group_[at(basic_[at(i)])])] -= basic_x_[i];
  }
}

template <int Rows>
int LoadProgram<Rows>::find_entering(bool by_index) {
  for (std::size_t j = 0; j < n_columns_; ++j) {
    double priced = gains_[j];
    for (int i = 0; i < Rows; ++i) priced -= price_[i] * rows_[at(i)][j];
    reduced_[j] = priced;
  }
  int best = kNone;
  double best_profit = 0.0;
  for (std::size_t j = 0; j < n_columns_; ++j) {
    const auto g = at(group_[j]);
    const double profit = reduced_[j] - reduced_[at(key_[g])];
    if (profit <= kProfit || is_basic_[j] || limits_[g] == 0.0) continue;
    if (by_index) return static_cast<int>(j);
    // What the whole group could bring, not its rate: fewer steps.
    if (profit * limits_[g] > best_profit) {
      best_profit = profit * limits_[g];
      best = static_cast<int>(j);
    }
  }
  return best;
}

template <int Rows>
double LoadProgram<Rows>::find_bound(const Row& prices) const {
  double bound = 0.0;
  for (std::size_t g = 0; g < n_groups_; ++g) {
    const std::size_t end = g + 1 < n_groups_ ? at(first_[g + 1]) : n_columns_;
    double best = 0.0;
    for (std::size_t j = at(first_[g]) + 1; j < end; ++j) {
      double priced = gains_[j];
      for (int i = 0; i < Rows; ++i) priced -= prices[i] * rows_[at(i)][j];
      best = std::max(best, priced);
    }
    bound += limits_[g] * best;
  }
  return bound;
}

template <int Rows>
double LoadProgram<Rows>::pivot(int entering) {
  const int entering_group = group_[at(entering)];
  const Row rate = inverse_ * column_from_key(entering);  // the basics fall at this rate

  double step = std::numeric_limits<double>::infinity();
  int leaving = kNone;        // position in basic_
  int leaving_key = kNone;    // or a group whose key leaves
  double leaving_rate = 0.0;  // of ties the one that changes fastest: a well conditioned basis
  const auto offer = [&](double bound, double speed, int position, int group) {
    if (bound > step || (bound == step && speed <= leaving_rate)) return;
    step = bound;
    leaving_rate = speed;
    leaving = position;
    leaving_key = group;
  };
  double own_key_rate = 1.0;
  for (int i = 0; i < Rows; ++i) {
    const int column = basic_[at(i)];
    if (column == kNone) {
      if (std::abs(rate[i]) > kPivot) offer(0.0, std::abs(rate[i]), i, kNone);
      continue;
    }
    if (rate[i] > kPivot) offer(std::max(0.0, basic_x_[i]) / rate[i], rate[i], i, kNone);
    const int g = group_[at(column)];
    if (g == entering_group) {
      own_key_rate -= rate[i];
      continue;
    }
    double key_rate = 0.0;
    for (int k = 0; k < Rows; ++k) {
      if (basic_[at(k)] != kNone && group_[at(basic_[at(k)])] == g) key_rate -= rate[k];
    }
    if (key_rate > kPivot) offer(std::max(0.0, key_x_[at(g)]) / key_rate, key_rate, kNone, g);
  }
  if (own_key_rate > kPivot) {
    offer(std::max(0.0, key_x_[at(entering_group)]) / own_key_rate, own_key_rate, kNone, entering_group);
  }

  if (leaving_key != kNone) {
    // A basic of that group takes the key's part; where there is none, the entering column does.
    for (int i = 0; i < Rows && leaving == kNone; ++i) {
      if (basic_[at(i)] != kNone && group_[at(basic_[at(i)])] == leaving_key) leaving = i;
    }
    if (leaving == kNone) {
      key_[at(leaving_key)] = entering;
      return step;
    }
    std::swap(key_[at(leaving_key)], basic_[at(leaving)]);
    is_basic_[at(key_[at(leaving_key)])] = false;
  }
  STEEPWRIGHT_ASSERT(leaving != kNone);
  if (basic_[at(leaving)] != kNone) is_basic_[at(basic_[at(leaving)])] = false;
  basic_[at(leaving)] = entering;
  is_basic_[at(entering)] = true;
  return step;
}

template <int Rows>
void LoadProgram<Rows>::store_solution() {
  std::fill(x_.begin(), x_.begin() + static_cast<std::ptrdiff_t>(n_columns_), 0.0);
  for (std::size_t g = 0; g < n_groups_; ++g) x_[at(key_[g])] = std::max(0.0, key_x_[g]);
  for (int i = 0; i < Rows; ++i) {
    if (basic_[at(i)] != kNone) x_[at(basic_[at(i)])] = std::max(0.0, basic_x_[i]);
  }
  value_ = 0.0;
  for (std::size_t j = 0; j < n_columns_; ++j) value_ += gains_[j] * x_[j];
}

template <int Rows>
typename LoadProgram<Rows>::Status LoadProgram<Rows>::solve() {
  int stalled = 0;
  Status status = Status::kStepLimit;
  for (steps_ = 0; steps_ < kMaxSteps; ++steps_) {
    update_basis();
    const int entering = find_entering(stalled > kStalled);
    if (entering == kNone) {
      status = Status::kOptimal;
      break;
    }
    stalled = pivot(entering) > 0.0 ? 0 : stalled + 1;
  }
  store_solution();
  return status;
}

template class LoadProgram<3>;
template class LoadProgram<4>;

}  // namespace steepwright::grip
