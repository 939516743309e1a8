#include "engine/grip/load_program.h"

#include <Eigen/LU>

#include <algorithm>

namespace steepwright::grip {

LoadProgram::LoadProgram() {
  // The slacks' stay zero.
  for (auto& rows : rows_) rows.fill(PerGroup::Zero());
  for (PerColumn* numbers : {&gains_, &reduced_, &slope_}) numbers->fill(PerGroup::Zero());
  clear();
}

void LoadProgram::clear() {
  n_groups_ = 0;
  basic_.fill(kNone);
}

void LoadProgram::reset_basis() {
  basic_.fill(kNone);
  for (std::size_t g = 0; g < n_groups_; ++g) {
    n_basic_[g] = 0;
    key_[g] = column(g, 0);
  }
}

void LoadProgram::factor() {
  invert_basis();
  sum_keys();
}

void LoadProgram::invert_basis() {
  Eigen::Matrix<double, kRows, kRows> basis;
  for (int i = 0; i < kRows; ++i) {
    const std::size_t column = basic_[static_cast<std::size_t>(i)];
    basis.col(i) = column == kNone ? Row(Row::Unit(i)) : column_from_key(column);
    basic_gain_[i] = column == kNone ? 0.0 : gain_from_key(column);
  }
  inverse_ = basis.inverse();
}

void LoadProgram::sum_keys() {
  keys_.setZero();
  // Slacks add zeros: cheaper than a branch that nobody can foresee.
  for (std::size_t g = 0; g < n_groups_; ++g) keys_ += limits_[at(g)] * row(key_[g]);
}

void LoadProgram::replace(std::size_t position, std::size_t entering, const Row& rate) {
  const Eigen::Index row = at(position);
  const std::size_t left = basic_[position];
  if (left != kNone) --n_basic_[group_of(left)];
  basic_[position] = entering;
  ++n_basic_[group_of(entering)];
  basic_gain_[row] = gain_from_key(entering);
  const auto pivot_row = (inverse_.row(row) / rate[row]).eval();
  inverse_.noalias() -= rate * pivot_row;
  inverse_.row(row) = pivot_row;
}

void LoadProgram::flip_key(std::size_t group, std::size_t column) {
  keys_ += limits_[at(group)] * (row(column) - row(key_[group]));
  key_[group] = column;
}

void LoadProgram::swap_key(std::size_t position) {
  const std::size_t g = group_of(basic_[position]);
  std::swap(key_[g], basic_[position]);
  if (n_basic_[g] > 1) {
    factor();
    update_x();
    return;
  }
  // Nothing but a sign: the basic's column from its key is turned round.
  keys_ += limits_[at(g)] * (row(key_[g]) - row(basic_[position]));
  inverse_.row(at(position)) *= -1.0;
  basic_gain_[at(position)] *= -1.0;
  basic_x_[at(position)] = limits_[at(g)] - basic_x_[at(position)];
}

void LoadProgram::update_profits() {
  price_.noalias() = inverse_.transpose() * basic_gain_;
  const Eigen::Index n = at(n_groups_);
  for (std::size_t k = 1; k < kPlaces; ++k) {
    const auto& rows = rows_[k];
    reduced_[k].head(n) = gains_[k].head(n) - price_[0] * rows[0].head(n) - price_[1] * rows[1].head(n) -
                          price_[2] * rows[2].head(n) - price_[3] * rows[3].head(n);
  }
}

void LoadProgram::update_x() { basic_x_.noalias() = -(inverse_ * keys_); }

double LoadProgram::find_key_x(std::size_t group) const {
  double x = limits_[at(group)];
  if (n_basic_[group] == 0) return x;
  for (std::size_t i = 0; i < kRows; ++i) {
    if (basic_[i] != kNone && group_of(basic_[i]) == group) x -= basic_x_[at(i)];
  }
  return x;
}

double LoadProgram::find_bound(const Row& prices) const {
  const Eigen::Index n = at(n_groups_);
  PerGroup best;
  best.head(n).setZero();
  for (std::size_t k = 1; k < kPlaces; ++k) {
    const auto& rows = rows_[k];
    best.head(n) = best.head(n).max(gains_[k].head(n) - prices[0] * rows[0].head(n) - prices[1] * rows[1].head(n) -
                                    prices[2] * rows[2].head(n) - prices[3] * rows[3].head(n));
  }
  return (best.head(n) * limits_.head(n)).sum();
}

double LoadProgram::x(std::size_t column) const {
  const std::size_t g = group_of(column);
  if (key_[g] == column) return std::max(0.0, find_key_x(g));
  for (std::size_t i = 0; i < kRows; ++i) {
    if (basic_[i] == column) return std::max(0.0, basic_x_[at(i)]);
  }
  return 0.0;
}

void LoadProgram::store_value() {
  double value = basic_gain_.dot(basic_x_);
  for (std::size_t g = 0; g < n_groups_; ++g) value += limits_[at(g)] * gain(key_[g]);
  value_ = std::max(0.0, value);  // x = 0 is feasible: what is below is rounding
}

LoadProgram::Ties LoadProgram::ties() const {
  Ties ties;
  for (const std::size_t column : basic_) {
    if (column != kNone) ties.push_back({column, key_of(column)});
  }
  return ties;
}

}  // namespace steepwright::grip
