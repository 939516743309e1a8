#include "engine/grip/load_program.h"

#include <Eigen/LU>

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::grip {

namespace {

std::size_t at(int index) { return static_cast<std::size_t>(index); }

/// A column depends on others when elimination leaves less than this share of it.
constexpr double kDependent = 1e-7;

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
    if (column == kNone) continue;
    is_basic_[at(column)] = false;
    --n_basic_[at(group_[at(column)])];
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
  n_basic_[n_groups_] = 0;
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
void LoadProgram<Rows>::factor() {
  Eigen::Matrix<double, Rows, Rows> basis;
  for (int i = 0; i < Rows; ++i) {
    const int column = basic_[at(i)];
    basis.col(i) = column == kNone ? Row(Row::Unit(i)) : column_from_key(column);
    basic_gain_[i] = column == kNone ? 0.0 : gain_from_key(column);
  }
  inverse_ = basis.inverse();
  keys_.setZero();
  for (std::size_t g = 0; g < n_groups_; ++g) {
    if (key_[g] != first_[g]) keys_ += limits_[g] * row(at(key_[g]));
  }
}

template <int Rows>
void LoadProgram<Rows>::replace(int position, int entering, const Row& rate) {
  const int left = basic_[at(position)];
  if (left != kNone) {
    is_basic_[at(left)] = false;
    --n_basic_[at(group_[at(left)])];
  }
  basic_[at(position)] = entering;
  is_basic_[at(entering)] = true;
  ++n_basic_[at(group_[at(entering)])];
  basic_gain_[position] = gain_from_key(entering);
  const auto pivot_row = (inverse_.row(position) / rate[position]).eval();
  for (int i = 0; i < Rows; ++i) inverse_.row(i) -= rate[i] * pivot_row;
  inverse_.row(position) = pivot_row;
}

template <int Rows>
void LoadProgram<Rows>::flip_key(std::size_t group, int column) {
  keys_ += limits_[group] * (row(at(column)) - row(at(key_[group])));
  key_[group] = column;
}

template <int Rows>
void LoadProgram<Rows>::swap_key(int position) {
  int& basic = basic_[at(position)];
  const std::size_t g = at(group_[at(basic)]);
  is_basic_[at(basic)] = false;
  std::swap(key_[g], basic);
  is_basic_[at(basic)] = true;
}

template <int Rows>
void LoadProgram<Rows>::update_profits() {
  price_.noalias() = inverse_.transpose() * basic_gain_;
  for (std::size_t j = 0; j < n_columns_; ++j) {
    double priced = gains_[j];
    for (int i = 0; i < Rows; ++i) priced -= price_[i] * rows_[at(i)][j];
    reduced_[j] = priced;
  }
}

template <int Rows>
void LoadProgram<Rows>::update_x() {
  basic_x_.noalias() = -(inverse_ * keys_);
}

template <int Rows>
double LoadProgram<Rows>::find_key_x(std::size_t group) const {
  double x = limits_[group];
  if (n_basic_[group] == 0) return x;
  for (int i = 0; i < Rows; ++i) {
    if (basic_[at(i)] != kNone && at(group_[at(basic_[at(i)])]) == group) x -= basic_x_[i];
  }
  return x;
}

template <int Rows>
int LoadProgram<Rows>::find_entering(bool by_index) const {
  int best = kNone;
  double best_profit = 0.0;
  for (std::size_t g = 0; g < n_groups_; ++g) {
    const double key_worth = reduced_[at(key_[g])] + kProfit;
    for (std::size_t j = at(first_[g]); j < end_of(g); ++j) {
      if (reduced_[j] <= key_worth || is_basic_[j] || limits_[g] == 0.0) continue;
      if (by_index) return static_cast<int>(j);
      // What the whole group could bring, not its rate: fewer steps.
      const double profit = (reduced_[j] - key_worth) * limits_[g];
      if (profit <= best_profit) continue;
      best_profit = profit;
      best = static_cast<int>(j);
    }
  }
  return best;
}

template <int Rows>
double LoadProgram<Rows>::find_bound(const Row& prices) const {
  double bound = 0.0;
  for (std::size_t g = 0; g < n_groups_; ++g) {
    double best = 0.0;
    for (std::size_t j = at(first_[g]) + 1; j < end_of(g); ++j) {
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
  const std::size_t entering_group = at(group_[at(entering)]);
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
    const std::size_t g = at(group_[at(column)]);
    if (g == entering_group) {
      own_key_rate -= rate[i];
      continue;
    }
    double key_rate = 0.0;
    for (int k = 0; k < Rows; ++k) {
      if (basic_[at(k)] != kNone && at(group_[at(basic_[at(k)])]) == g) key_rate -= rate[k];
    }
    if (key_rate > kPivot) offer(std::max(0.0, find_key_x(g)) / key_rate, key_rate, kNone, static_cast<int>(g));
  }
  if (own_key_rate > kPivot) {
    offer(std::max(0.0, find_key_x(entering_group)) / own_key_rate, own_key_rate, kNone,
          static_cast<int>(entering_group));
  }

  if (leaving_key == kNone) {
    STEEPWRIGHT_ASSERT(leaving != kNone);
    replace(leaving, entering, rate);
    return step;
  }
  if (n_basic_[at(leaving_key)] == 0) {
    flip_key(at(leaving_key), entering);
    return step;
  }
  // A basic of that group takes the key's part.
  for (int i = 0; i < Rows && leaving == kNone; ++i) {
    if (basic_[at(i)] != kNone && group_[at(basic_[at(i)])] == leaving_key) leaving = i;
  }
  swap_key(leaving);
  factor();
  replace(leaving, entering, inverse_ * column_from_key(entering));
  return step;
}

template <int Rows>
double LoadProgram<Rows>::x(std::size_t column) const {
  const std::size_t g = group_of(column);
  if (at(key_[g]) == column) return std::max(0.0, find_key_x(g));
  if (!is_basic_[column]) return 0.0;
  for (int i = 0; i < Rows; ++i) {
    if (basic_[at(i)] == static_cast<int>(column)) return std::max(0.0, basic_x_[i]);
  }
  return 0.0;
}

template <int Rows>
void LoadProgram<Rows>::store_value() {
  double value = basic_gain_.dot(basic_x_);
  for (std::size_t g = 0; g < n_groups_; ++g) value += limits_[g] * gains_[at(key_[g])];
  value_ = std::max(0.0, value);  // x = 0 is feasible: what is below is rounding
}

template <int Rows>
typename LoadProgram<Rows>::Status LoadProgram<Rows>::solve() {
  int stalled = 0;
  Status status = Status::kStepLimit;
  factor();
  bool is_fresh = true;
  for (steps_ = 0; steps_ < kMaxSteps; ++steps_) {
    update_x();
    update_profits();
    const int entering = find_entering(stalled > kStalled);
    if (entering == kNone) {
      status = Status::kOptimal;
      if (is_fresh || steps_ <= kTrustedSteps) break;
      // The last word is said with an inverse from scratch.
      factor();
      is_fresh = true;
      continue;
    }
    stalled = pivot(entering) > 0.0 ? 0 : stalled + 1;
    is_fresh = false;
  }
  store_value();
  return status;
}

template <int Rows>
typename LoadProgram<Rows>::Ties LoadProgram<Rows>::ties() const {
  Ties ties;
  for (const int column : basic_) {
    if (column != kNone) ties.push_back({at(column), key_of(column)});
  }
  return ties;
}

template <int Rows>
void LoadProgram<Rows>::place(const Ties& ties) {
  reset_basis();
  for (const Tie& tie : ties) key_[group_of(tie.column)] = static_cast<int>(tie.key);
  // Elimination by the largest entry finds a row for each tie; the others keep their artificials.
  std::array<Row, Rows> eliminated;
  std::array<int, Rows> pivots{};
  int n_placed = 0;
  for (const Tie& tie : ties) {
    Row column = column_from_key(static_cast<int>(tie.column));
    const double size = column.cwiseAbs().maxCoeff();
    for (int k = 0; k < n_placed; ++k) column -= column[pivots[at(k)]] * eliminated[at(k)];
    int pivot = 0;
    if (column.cwiseAbs().maxCoeff(&pivot) <= kDependent * size) continue;
    eliminated[at(n_placed)] = column / column[pivot];
    pivots[at(n_placed)] = pivot;
    ++n_placed;
    basic_[at(pivot)] = static_cast<int>(tie.column);
    is_basic_[tie.column] = true;
    ++n_basic_[group_of(tie.column)];
  }
}

template <int Rows>
int LoadProgram<Rows>::choose_keys() {
  for (std::size_t g = 0; g < n_groups_; ++g) {
    int best = key_[g];
    for (std::size_t j = at(first_[g]); j < end_of(g); ++j) {
      if (!is_basic_[j] && reduced_[j] > reduced_[at(best)]) best = static_cast<int>(j);
    }
    if (best == key_[g]) continue;
    if (n_basic_[g] == 0) {
      flip_key(g, best);
    } else if (reduced_[at(best)] > reduced_[at(key_[g])] + kProfit) {
      return static_cast<int>(g);
    }
  }
  return kNone;
}

template <int Rows>
int LoadProgram<Rows>::find_leaving(double least_x) {
  int worst = kNone;
  bool is_key = false;
  for (int i = 0; i < Rows; ++i) {
    const bool is_artificial = basic_[at(i)] == kNone;
    const double x = is_artificial ? -std::abs(basic_x_[i]) : basic_x_[i];
    if (x < least_x) {
      least_x = x;
      worst = i;
      is_key = false;
    }
    const double key_x = is_artificial ? 0.0 : find_key_x(at(group_[at(basic_[at(i)])]));
    if (key_x < least_x) {
      least_x = key_x;
      worst = i;
      is_key = true;
    }
  }
  if (!is_key) return worst;
  swap_key(worst);
  factor();
  update_x();
  return worst;
}

template <int Rows>
typename LoadProgram<Rows>::Crossing LoadProgram<Rows>::find_crossing(std::size_t group) const {
  Crossing crossing;
  const double key_slope = slope_[at(key_[group])] + kPivot;
  const double key_worth = reduced_[at(key_[group])];
  for (std::size_t j = at(first_[group]); j < end_of(group); ++j) {
    const double gained = slope_[j] - key_slope;
    if (gained <= 0.0 || is_basic_[j]) continue;
    const double needed = std::max(0.0, key_worth - reduced_[j]);
    if (needed >= crossing.step * gained) continue;
    crossing = {needed / gained, gained, static_cast<int>(j)};
  }
  return crossing;
}

template <int Rows>
bool LoadProgram<Rows>::exchange(int leaving) {
  const Row direction = (basic_x_[leaving] < 0.0 ? 1.0 : -1.0) * inverse_.row(leaving).transpose();
  for (std::size_t j = 0; j < n_columns_; ++j) {
    double slope = 0.0;
    for (int i = 0; i < Rows; ++i) slope -= direction[i] * rows_[at(i)][j];
    slope_[j] = slope;
  }
  for (std::size_t g = 0; g < n_groups_; ++g) crossings_[g] = limits_[g] > 0.0 ? find_crossing(g) : Crossing{};
  double descent = std::abs(basic_x_[leaving]);
  for (;;) {
    std::size_t g = 0;
    for (std::size_t other = 1; other < n_groups_; ++other) {
      if (crossings_[other].step < crossings_[g].step) g = other;
    }
    const Crossing crossing = crossings_[g];
    if (crossing.column == kNone) return false;
    descent -= limits_[g] * crossing.rate;
    if (descent > 0.0 && n_basic_[g] == 0) {
      flip_key(g, crossing.column);
      crossings_[g] = find_crossing(g);
      continue;
    }
    for (std::size_t j = 0; j < n_columns_; ++j) reduced_[j] += crossing.step * slope_[j];
    replace(leaving, crossing.column, inverse_ * column_from_key(crossing.column));
    return true;
  }
}

template <int Rows>
typename LoadProgram<Rows>::Status LoadProgram<Rows>::solve_from(const Ties& ties) {
  double sum = 0.0;
  for (std::size_t g = 0; g < n_groups_; ++g) sum += limits_[g];
  Ties kept = ties;
  int beaten = kNone;
  do {
    place(kept);
    factor();
    update_profits();
    beaten = choose_keys();
    if (beaten == kNone) break;
    Ties others;
    for (const Tie& tie : kept) {
      if (group_[tie.column] != beaten) others.push_back(tie);
    }
    kept = others;
  } while (true);

  bool is_sound = true;
  bool is_fresh = true;
  for (steps_ = 0; is_sound && steps_ < kMaxDualSteps; ++steps_) {
    update_x();
    const int leaving = find_leaving(-kNegative * sum);
    if (leaving != kNone) {
      is_sound = exchange(leaving);
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

template class LoadProgram<3>;
template class LoadProgram<4>;

}  // namespace steepwright::grip
