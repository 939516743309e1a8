#pragma once

/// The linear program of one finger: most load along a direction with every joint in balance.
///
///   maximise  sum_j gain_j x_j
///   subject   sum_j row_ij x_j = 0            for every balance row i (Rows of them, few)
///             sum_{j in group g} x_j <= limit_g   for every group g
///             x >= 0
///
/// A contact is a group of two columns (the edges of its friction wedge, its normal force bounded by the skin); a
/// tendon is a group of one. x = 0 is always feasible, so there is no first phase.
///
/// Method: simplex with generalised upper bounds (Dantzig & Van Slyke 1967, from memory): one key variable a group is
/// eliminated by its limit, the working basis has only Rows columns however many contacts there are. It is inverted
/// anew at each step: at this size that is cheaper than keeping it. Allocation-free. After a change of gains alone the
/// old basis is still feasible and the primal method goes on from it; from the basis of a neighbouring program the dual
/// method does, with long steps (keys flip while the descent goes on), as any basis is dual feasible once each group's
/// key is its column of highest profit.

#include "engine/core/bounded_vector.h"
#include "engine/core/contract.h"

#include <Eigen/Core>

#include <array>
#include <cstddef>
#include <limits>

namespace steepwright::grip {

inline constexpr std::size_t kMaxGroups = 40;
inline constexpr std::size_t kMaxColumns = 3 * kMaxGroups;

template <int Rows>
class LoadProgram {
 public:
  using Row = Eigen::Matrix<double, Rows, 1>;
  enum class Status { kOptimal, kStepLimit };

  LoadProgram() { clear(); }

  /// Empties the program.
  void clear();
  /// A group of columns whose variables sum to at most `limit` (>= 0). Its columns are added right after it.
  void add_group(double limit);
  /// A column of the last group; returns its index.
  std::size_t add_column(const Row& row);
  void set_gain(std::size_t column, double gain) { gains_[column] = gain; }

  /// Changes one entry of a column; reset_basis must follow before the next solve.
  void set_entry(std::size_t column, int row, double value) { rows_[static_cast<std::size_t>(row)][column] = value; }
  /// Back to x = 0.
  void reset_basis();

  /// Solves from the basis of the last solve, or from x = 0 after clear().
  Status solve();

  /// A column of the basis and the key of its group: at the optimum both are worth the same.
  struct Tie {
    std::size_t column = 0, key = 0;
  };
  using Ties = BoundedVector<Tie, static_cast<std::size_t>(Rows)>;
  /// Those of the last solve.
  [[nodiscard]] Ties ties() const;
  /// Solves from ties of a neighbouring program, in this one's columns; some may be left out. From x = 0 where that
  /// does not work out.
  Status solve_from(const Ties& ties);

  [[nodiscard]] double value() const { return value_; }
  [[nodiscard]] double x(std::size_t column) const;
  [[nodiscard]] int steps() const { return steps_; }
  /// Prices of the balance rows at the last solve.
  [[nodiscard]] const Row& prices() const { return price_; }
  /// What the value can be at most, by duality, for any prices; tight for those of a neighbouring program's optimum.
  [[nodiscard]] double find_bound(const Row& prices) const;
  // The program as built, for those who solve it by other means. Column 0 of each group is its slack, all zero.
  [[nodiscard]] std::size_t n_groups() const { return n_groups_; }
  [[nodiscard]] std::size_t n_columns() const { return n_columns_; }
  [[nodiscard]] double limit(std::size_t group) const { return limits_[group]; }
  [[nodiscard]] Row row(std::size_t column) const {
    Row row;
    for (int i = 0; i < Rows; ++i) row[i] = rows_[static_cast<std::size_t>(i)][column];
    return row;
  }
  [[nodiscard]] double gain(std::size_t column) const { return gains_[column]; }
  [[nodiscard]] std::size_t group_of(std::size_t column) const { return static_cast<std::size_t>(group_[column]); }

 private:
  static constexpr int kNone = -1;
  /// A reduced profit counts when it is worth more than this share of the gains' scale.
  static constexpr double kProfit = 1e-10;
  /// Smallest pivot; rows are scaled to about 1.
  static constexpr double kPivot = 1e-10;
  /// A variable is negative when it is below this share of the sum of limits.
  static constexpr double kNegative = 1e-11;
  static constexpr int kMaxSteps = 400;
  static constexpr int kMaxDualSteps = 30;
  /// After more steps than these the answer is checked with an inverse from scratch.
  static constexpr int kTrustedSteps = 6;
  /// Steps without progress after which the first column that pays enters (Bland's rule: no cycling).
  static constexpr int kStalled = 12;

  /// Inverse of the basis, sum of the keys and worth of the basics from scratch.
  void factor();
  /// The same after `entering` came into the basis at `position`; rate: inverse * its column.
  void replace(int position, int entering, const Row& rate);
  /// Another key for a group that has no column in the basis.
  void flip_key(std::size_t group, int column);
  /// The key of the group of the basic at `position` changes places with it.
  void swap_key(int position);
  void update_profits();
  void update_x();
  [[nodiscard]] double find_key_x(std::size_t group) const;
  void store_value();

  [[nodiscard]] int find_entering(bool by_index) const;
  /// Moves `entering` up to its bound; returns the length of the step.
  double pivot(int entering);

  // The dual method.
  /// Where along the slopes a column of a group becomes worth more than its key.
  struct Crossing {
    double step = std::numeric_limits<double>::infinity();
    double rate = 0.0;
    int column = kNone;
  };
  [[nodiscard]] Crossing find_crossing(std::size_t group) const;
  void place(const Ties& ties);
  /// Gives each group its best key; where a tie of a group is beaten by its third column, says which group's.
  [[nodiscard]] int choose_keys();
  /// Position in the basis of the worst violation, kNone when there is none; a violated key is swapped into it first.
  int find_leaving(double least_x);
  /// Moves the prices until another column is worth its group's key; false when none comes.
  bool exchange(int leaving);

  [[nodiscard]] std::size_t key_of(int column) const {
    return static_cast<std::size_t>(key_[static_cast<std::size_t>(group_[static_cast<std::size_t>(column)])]);
  }
  [[nodiscard]] Row column_from_key(int column) const {
    return row(static_cast<std::size_t>(column)) - row(key_of(column));
  }
  [[nodiscard]] double gain_from_key(int column) const {
    return gains_[static_cast<std::size_t>(column)] - gains_[key_of(column)];
  }
  [[nodiscard]] std::size_t end_of(std::size_t group) const {
    return group + 1 < n_groups_ ? static_cast<std::size_t>(first_[group + 1]) : n_columns_;
  }

  std::size_t n_groups_ = 0, n_columns_ = 0;
  std::array<double, kMaxGroups> limits_;
  std::array<std::array<double, kMaxColumns>, Rows> rows_;  // by row: pricing runs along it
  std::array<double, kMaxColumns> gains_;
  std::array<int, kMaxColumns> group_;
  // Basis: a key a group and Rows more columns (kNone: the row's artificial, which stays at 0).
  std::array<int, kMaxGroups> first_, key_;
  std::array<int, kMaxGroups> n_basic_;  // columns of the group in the basis
  std::array<int, Rows> basic_;
  std::array<bool, kMaxColumns> is_basic_;
  Eigen::Matrix<double, Rows, Rows> inverse_;
  Row keys_, basic_gain_;  // sum of limits times the keys' columns; gains of the basics from their keys
  Row basic_x_, price_;
  std::array<double, kMaxColumns> reduced_, slope_;
  std::array<Crossing, kMaxGroups> crossings_;
  double value_ = 0.0;
  int steps_ = 0;
};

extern template class LoadProgram<3>;
extern template class LoadProgram<4>;

}  // namespace steepwright::grip
