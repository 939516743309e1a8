// The primal method of the finger's program: from x = 0, or from the last basis after a change of gains.

#include "engine/grip/load_program.h"

#include <algorithm>
#include <cmath>

namespace steepwright::grip {

namespace {

constexpr int kMaxSteps = 400;
/// Steps without progress after which the first column that pays enters (Bland's rule: no cycling).
constexpr int kStalled = 12;

}  // namespace

std::size_t LoadProgram::find_entering(bool by_index) const {
  std::size_t best = kNone;
  double best_profit = 0.0;
  for (std::size_t g = 0; g < n_groups_; ++g) {
    const double key_worth = profit(key_[g]) + kProfit;
    for (std::size_t k = 0; k < kPlaces; ++k) {
      const double worth = reduced_[k][at(g)];
      if (worth <= key_worth || limits_[at(g)] == 0.0) continue;
      if (by_index) return column(g, k);
      // What the whole group could bring, not its rate: fewer steps.
      const double gained = (worth - key_worth) * limits_[at(g)];
      if (gained <= best_profit) continue;
      best_profit = gained;
      best = column(g, k);
    }
  }
  return best;
}

double LoadProgram::pivot(std::size_t entering) {
  const std::size_t entering_group = group_of(entering);
  const Row rate = inverse_ * column_from_key(entering);  // the basics fall at this rate
  const auto rate_of = [&](std::size_t position) { return rate[at(position)]; };
  // Beside large rates a small one is rounding.
  const double least_rate = kPivot * std::max(1.0, rate.cwiseAbs().maxCoeff());

  double step = kNever;
  std::size_t leaving = kNone;      // position in basic_
  std::size_t leaving_key = kNone;  // or a group whose key leaves
  double leaving_rate = 0.0;        // of ties the one that changes fastest: a well conditioned basis
  const auto offer = [&](double bound, double speed, std::size_t position, std::size_t group) {
    if (bound > step || (bound == step && speed <= leaving_rate)) return;
    step = bound;
    leaving_rate = speed;
    leaving = position;
    leaving_key = group;
  };
  double own_key_rate = 1.0;
  for (std::size_t i = 0; i < kRows; ++i) {
    if (basic_[i] == kNone) {
      if (std::abs(rate_of(i)) > least_rate) offer(0.0, std::abs(rate_of(i)), i, kNone);
      continue;
    }
    if (rate_of(i) > least_rate) {
      offer(std::max(0.0, basic_x_[at(i)]) / rate_of(i), rate_of(i), i, kNone);
    }
    const std::size_t g = group_of(basic_[i]);
    if (g == entering_group) {
      own_key_rate -= rate_of(i);
      continue;
    }
    double key_rate = 0.0;
    for (std::size_t k = 0; k < kRows; ++k) {
      if (basic_[k] != kNone && group_of(basic_[k]) == g) key_rate -= rate_of(k);
    }
    if (key_rate > least_rate) offer(std::max(0.0, find_key_x(g)) / key_rate, key_rate, kNone, g);
  }
  if (own_key_rate > least_rate) {
    offer(std::max(0.0, find_key_x(entering_group)) / own_key_rate, own_key_rate, kNone, entering_group);
  }

  if (leaving_key == kNone) {
    STEEPWRIGHT_ASSERT(leaving != kNone);
    replace(leaving, entering, rate);
    return step;
  }
  if (n_basic_[leaving_key] == 0) {
    flip_key(leaving_key, entering);
    return step;
  }
  // A basic of that group takes the key's part.
  for (std::size_t i = 0; i < kRows && leaving == kNone; ++i) {
    if (basic_[i] != kNone && group_of(basic_[i]) == leaving_key) leaving = i;
  }
  swap_key(leaving);
  replace(leaving, entering, inverse_ * column_from_key(entering));
  return step;
}

LoadProgram::Status LoadProgram::solve() {
  int stalled = 0;
  Status status = Status::kStepLimit;
  factor();
  bool is_fresh = true;
  for (steps_ = 0; steps_ < kMaxSteps; ++steps_) {
    update_x();
    update_profits();
    const std::size_t entering = find_entering(stalled > kStalled);
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

}  // namespace steepwright::grip
