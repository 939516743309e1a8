#pragma once

/// The linear program of one finger: most load along a direction with every joint in balance.
///
///   maximise  sum_j gain_j x_j
///   subject   sum_j row_ij x_j = 0            for every balance row i (four of them)
///             sum_{j in group g} x_j <= limit_g   for every group g
///             x >= 0
///
/// A contact is a group of two columns (the edges of its friction wedge, its normal force bounded by the skin); a
/// tendon is a group of one. x = 0 is always feasible, so there is no first phase.
///
/// Method: simplex with generalised upper bounds (Dantzig & Van Slyke 1967, from memory): one key variable a group is
/// eliminated by its limit, the working basis has only four columns however many contacts there are. Its inverse is
/// kept by products and made anew from time to time. Allocation-free. After a change of gains alone the old basis is
/// still feasible and the primal method goes on from it; from the basis of a neighbouring program the dual method does,
/// with long steps (keys flip while the descent goes on), as any basis is dual feasible once each group's key is its
/// column of highest profit. The dual method comes down on the optimum from above and can stop as soon as it is below
/// what somebody else already has.

#include "engine/core/bounded_vector.h"
#include "engine/core/contract.h"

#include <Eigen/Core>

#include <algorithm>
#include <array>
#include <cstddef>
#include <limits>

namespace steepwright::grip {

class LoadProgram {
 public:
  static constexpr int kRows = 4;
  using Row = Eigen::Matrix<double, kRows, 1>;
  enum class Status { kOptimal, kStepLimit, kNotAbove };
  static constexpr std::size_t kMaxGroups = 40;
  /// Places for columns in a group: its slack, all zero, and up to two columns.
  static constexpr std::size_t kPlaces = 3;

  LoadProgram();

  /// Empties the program.
  void clear();
  /// A group of columns whose variables sum to at most `limit` (>= 0). Its columns, one or two, are added right after.
  void add_group(double limit) {
    STEEPWRIGHT_ASSERT(n_groups_ < kMaxGroups && limit >= 0.0);
    const std::size_t g = n_groups_++;
    limits_[at(g)] = limit;
    n_added_[g] = 0;
    n_basic_[g] = 0;
    key_[g] = column(g, 0);
    for (std::size_t k = 1; k < kPlaces; ++k) {
      for (PerGroup& row : rows_[k]) row[at(g)] = 0.0;
      gains_[k][at(g)] = 0.0;
    }
  }
  /// A column of the last group; returns its index.
  std::size_t add_column(const Row& row) {
    STEEPWRIGHT_ASSERT(n_groups_ > 0 && n_added_[n_groups_ - 1] + 1 < kPlaces);
    const std::size_t g = n_groups_ - 1;
    const std::size_t k = ++n_added_[g];
    for (std::size_t i = 0; i < kRows; ++i) rows_[k][i][at(g)] = row[at(i)];
    return column(g, k);
  }
  void set_gain(std::size_t column, double gain) { gains_[place_of(column)][at(group_of(column))] = gain; }

  /// Changes one entry of a column; reset_basis must follow before the next solve.
  void set_entry(std::size_t column, int row, double value) {
    rows_[place_of(column)][static_cast<std::size_t>(row)][at(group_of(column))] = value;
  }
  /// Back to x = 0.
  void reset_basis();

  /// Solves from the basis of the last solve, or from x = 0 after clear().
  Status solve();

  /// A column of the basis and the key of its group: at the optimum both are worth the same.
  struct Tie {
    std::size_t column = 0, key = 0;
  };
  using Ties = BoundedVector<Tie, static_cast<std::size_t>(kRows)>;
  /// Those of the last solve.
  [[nodiscard]] Ties ties() const;
  /// Solves from ties of a neighbouring program, in this one's columns; some may be left out. From x = 0 where that
  /// does not work out. Ends with kNotAbove and a bound as the value once the optimum is known to be `least` or lower.
  Status solve_from(const Ties& ties, double least = -std::numeric_limits<double>::infinity());

  [[nodiscard]] double value() const { return value_; }
  [[nodiscard]] double x(std::size_t column) const;
  [[nodiscard]] int steps() const { return steps_; }
  /// Prices of the balance rows at the last solve.
  [[nodiscard]] const Row& prices() const { return price_; }
  /// What the value gains by one more of a group's limit.
  [[nodiscard]] double limit_price(std::size_t group) const {
    const std::size_t key = key_[group];
    return place_of(key) == 0 ? 0.0 : std::max(0.0, gain(key) - price_.dot(row(key)));
  }
  /// Whether all of a group is slack.
  [[nodiscard]] bool is_idle(std::size_t group) const { return place_of(key_[group]) == 0 && n_basic_[group] == 0; }
  /// What the value can be at most, by duality, for any prices; tight for those of a neighbouring program's optimum.
  [[nodiscard]] double find_bound(const Row& prices) const;

  // The program as built, for those who solve it by other means.
  [[nodiscard]] std::size_t n_groups() const { return n_groups_; }
  [[nodiscard]] double limit(std::size_t group) const { return limits_[at(group)]; }
  [[nodiscard]] std::size_t n_columns(std::size_t group) const { return n_added_[group]; }
  /// The columns of a group: k from 1; k = 0 is its slack.
  [[nodiscard]] static std::size_t column(std::size_t group, std::size_t k) { return kPlaces * group + k; }
  [[nodiscard]] static std::size_t group_of(std::size_t column) { return column / kPlaces; }
  [[nodiscard]] static std::size_t place_of(std::size_t column) { return column % kPlaces; }
  [[nodiscard]] Row row(std::size_t column) const {
    const auto& rows = rows_[place_of(column)];
    const Eigen::Index g = at(group_of(column));
    return {rows[0][g], rows[1][g], rows[2][g], rows[3][g]};
  }
  [[nodiscard]] double gain(std::size_t column) const { return gains_[place_of(column)][at(group_of(column))]; }

 private:
  static Eigen::Index at(std::size_t index) { return static_cast<Eigen::Index>(index); }
  static constexpr std::size_t kNone = ~std::size_t{0};
  static constexpr double kNever = std::numeric_limits<double>::infinity();
  /// A reduced profit counts when it is worth more than this share of the gains' scale.
  static constexpr double kProfit = 1e-10;
  /// Smallest pivot; rows are scaled to about 1.
  static constexpr double kPivot = 1e-10;
  /// After more steps than these the answer is checked with an inverse from scratch.
  static constexpr int kTrustedSteps = 6;
  /// Numbers of groups; loops run along them.
  using PerGroup = Eigen::Array<double, static_cast<int>(kMaxGroups), 1>;
  using PerColumn = std::array<PerGroup, kPlaces>;

  // The basis.
  /// Inverse of the basis and worth of the basics from scratch, the first with the sum of the keys.
  void factor();
  void invert_basis();
  void sum_keys();
  /// The same after `entering` came into the basis at `position`; rate: inverse * its column.
  void replace(std::size_t position, std::size_t entering, const Row& rate);
  /// Another key for a group that has no column in the basis.
  void flip_key(std::size_t group, std::size_t column);
  /// The key of the group of the basic at `position` changes places with it; inverse and x follow.
  void swap_key(std::size_t position);
  void update_profits();
  void update_x();
  [[nodiscard]] double find_key_x(std::size_t group) const;
  void store_value();

  // The primal method.
  [[nodiscard]] std::size_t find_entering(bool by_index) const;
  /// Moves `entering` up to its bound; returns the length of the step.
  double pivot(std::size_t entering);

  // The dual method.
  void place(const Ties& ties);
  /// The same for a whole basis that can be inverted; false when it cannot.
  [[nodiscard]] bool place_all(const Ties& ties);
  /// Gives each group its best key; where a tie of a group is beaten by its third column, says which group's.
  [[nodiscard]] std::size_t choose_keys();
  /// Keys, profits and inverse for the ties that can be kept; returns the bound that their prices give.
  double start_from(const Ties& ties);
  /// Position in the basis of the worst violation, kNone when there is none; a violated key is swapped into it first.
  std::size_t find_leaving(double least_x);
  /// How soon along the slopes another column of each group becomes worth more than its key.
  void find_crossings();
  struct Crossing {
    double nearness = 0.0;
    std::size_t column = kNone;
  };
  [[nodiscard]] Crossing find_crossing(std::size_t group) const;
  /// Moves the prices until another column is worth its group's key; returns how much the bound falls, kNever when no
  /// such column comes.
  double exchange(std::size_t leaving);

  [[nodiscard]] std::size_t key_of(std::size_t column) const { return key_[group_of(column)]; }
  [[nodiscard]] Row column_from_key(std::size_t column) const { return row(column) - row(key_of(column)); }
  [[nodiscard]] double gain_from_key(std::size_t column) const { return gain(column) - gain(key_of(column)); }
  [[nodiscard]] double profit(std::size_t column) const { return reduced_[place_of(column)][at(group_of(column))]; }

  std::size_t n_groups_ = 0;
  PerGroup limits_;
  std::array<std::size_t, kMaxGroups> n_added_;
  // Column 0 of a group is its slack; a group of one has the slack twice.
  std::array<std::array<PerGroup, kRows>, kPlaces> rows_;
  PerColumn gains_;
  // Basis: a key a group and four more columns (kNone: the row's artificial, which stays at 0).
  std::array<std::size_t, kMaxGroups> key_;
  std::array<int, kMaxGroups> n_basic_;  // columns of the group in the basis
  std::array<std::size_t, kRows> basic_;
  Eigen::Matrix<double, kRows, kRows> inverse_;
  Row keys_, basic_gain_;  // sum of limits times the keys' columns; gains of the basics from their keys
  Row basic_x_, price_;
  PerColumn reduced_, slope_;
  PerGroup nearness_;  // of each group's first crossing: one over the step along the slopes, 0: none comes
  double value_ = 0.0;
  int steps_ = 0;
};

}  // namespace steepwright::grip
