#include "tests/bench/posture_table.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

namespace steepwright::bench {

namespace {

std::string time_text(double time_s) {
  return time_s < 1e-3 ? fmt::format("{:.1f} us", 1e6 * time_s) : fmt::format("{:.2f} ms", 1e3 * time_s);
}

std::string solved_text(const Outcome& outcome) { return fmt::format("{}/{}", outcome.n_solved, outcome.n_total); }

}  // namespace

double Outcome::quantile_s(double share) const {
  if (times_s.empty()) return 0.0;
  std::vector<double> sorted = times_s;
  const auto place = static_cast<std::size_t>(std::lround(share * static_cast<double>(sorted.size() - 1)));
  std::nth_element(sorted.begin(), sorted.begin() + static_cast<std::ptrdiff_t>(place), sorted.end());
  return sorted[place];
}

std::vector<double> time_instances(int n, int repeats, const std::function<void(int)>& prepare,
                                   const std::function<void(int)>& solve) {
  using Clock = std::chrono::steady_clock;
  std::vector<double> best(static_cast<std::size_t>(n), 1e30);
  for (int repeat = 0; repeat < repeats; ++repeat) {
    for (int i = 0; i < n; ++i) {
      prepare(i);
      const Clock::time_point begin = Clock::now();
      solve(i);
      const double time_s = std::chrono::duration<double>(Clock::now() - begin).count();
      double& kept = best[static_cast<std::size_t>(i)];
      kept = std::min(kept, time_s);
    }
  }
  return best;
}

void print_table(const Outcomes& outcomes, const std::vector<TableRow>& rows) {
  fmt::print("\n{:<34} {:>10} {:>10} {:>10} {:>7} {:>11} {:>11}  {:<9} {}\n", "problem", "engine", "p95", "peer",
             "ratio", "solved", "peer solved", "target", "reached");
  for (const TableRow& row : rows) {
    const auto engine = outcomes.find(row.engine);
    if (engine == outcomes.end()) continue;
    const Outcome& ours = engine->second;
    std::string peer_time = "-";
    std::string peer_solved = "-";
    std::string ratio_text = "-";
    std::string target = "-";
    std::string reached = "-";
    double ratio = 0.0;
    const auto peer = outcomes.find(row.peer);
    if (peer != outcomes.end()) {
      ratio = peer->second.median_s() / ours.median_s();
      peer_time = time_text(peer->second.median_s());
      peer_solved = solved_text(peer->second);
      ratio_text = fmt::format("{:.1f}", ratio);
      if (row.least_ratio > 0.0) {
        target = fmt::format(">= {:g} x", row.least_ratio);
        reached = ratio >= row.least_ratio ? "yes" : "NO";
      }
    }
    if (row.most_s > 0.0) {
      target = fmt::format("<= {:g} ms", 1e3 * row.most_s);
      reached = ours.median_s() <= row.most_s ? "yes" : "NO";
    }
    fmt::print("{:<34} {:>10} {:>10} {:>10} {:>7} {:>11} {:>11}  {:<9} {}\n", row.problem, time_text(ours.median_s()),
               time_text(ours.quantile_s(0.95)), peer_time, ratio_text, solved_text(ours), peer_solved, target,
               reached);
  }
}

void print_optimum(const Outcomes& outcomes, const std::string& engine, const std::string& peer, double allowed_share) {
  const auto ours = outcomes.find(engine);
  const auto theirs = outcomes.find(peer);
  if (ours == outcomes.end() || theirs == outcomes.end()) return;
  int n_below = 0;
  int n_above = 0;
  for (std::size_t i = 0; i < ours->second.values.size(); ++i) {
    const double difference = ours->second.values[i] - theirs->second.values[i];
    n_below += difference < -1e-3 ? 1 : 0;
    n_above += difference > 1e-3 ? 1 : 0;
  }
  const double share = ours->second.mean_value / theirs->second.mean_value - 1.0;
  fmt::print(
      "{} mean optimum {:.6f}, {} {:.6f}: {:+.2f} %, allowed -{:g} %: {}; below by more than 0.001 on {}, above on "
      "{}\n",
      engine, ours->second.mean_value, peer, theirs->second.mean_value, 100.0 * share, 100.0 * allowed_share,
      share >= -allowed_share ? "reached" : "NOT reached", n_below, n_above);
}

}  // namespace steepwright::bench
