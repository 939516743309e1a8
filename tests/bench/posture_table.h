#pragma once

/// Timings of one problem set by one solver, and the table that sets engine and peer side by side.

#include <chrono>
#include <functional>
#include <map>
#include <string>
#include <vector>

namespace steepwright::bench {

/// What one solver did on one problem set.
struct Outcome {
  std::vector<double> times_s;  ///< one an instance
  int n_solved = 0;
  int n_total = 0;
  std::vector<double> values;  ///< of the objective, one an instance, where there is one
  double mean_value = 0.0;
  long n_allocations = -1;  ///< after the first solve; -1: not counted
  double iterations = 0.0;  ///< mean

  [[nodiscard]] double median_s() const { return quantile_s(0.5); }
  [[nodiscard]] double quantile_s(double share) const;
};

/// Outcomes by "problem/solver".
using Outcomes = std::map<std::string, Outcome>;

/// Runs `solve(i)` for every instance and keeps for each the fastest of `repeats` runs. `solve` restores its own start.
[[nodiscard]] std::vector<double> time_instances(int n, int repeats, const std::function<void(int)>& prepare,
                                                 const std::function<void(int)>& solve);

/// One line of the closing table. A target is a ratio to the peer, or a time of the engine alone.
struct TableRow {
  std::string problem;
  std::string engine;        ///< key of Outcomes
  std::string peer;          ///< key of Outcomes, "" for none
  double least_ratio = 0.0;  ///< peer over engine; 0: no such target
  double most_s = 0.0;       ///< median of the engine; 0: no such target
};

/// Prints the rows whose outcomes are there.
void print_table(const Outcomes& outcomes, const std::vector<TableRow>& rows);

/// Prints how the objectives (larger is better) of two solvers compare on the same instances, where both are there.
void print_optimum(const Outcomes& outcomes, const std::string& engine, const std::string& peer, double allowed_share);

}  // namespace steepwright::bench
