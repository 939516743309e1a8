#pragma once

/// The stances of a reach map, each a task of its own: a place, and what is known of its neighbours. An outcome depends
/// on its task alone, so that any thread or process may solve it, now or when the map is gone on with.

#include "engine/core/bounded_vector.h"
#include "engine/study/reach_goals.h"
#include "engine/study/warm_stance.h"

#include <tbb/task_arena.h>

#include <memory>
#include <mutex>
#include <vector>

namespace steepwright::study {

/// A solved place.
struct ReachAnswer {
  WarmAnswer stance;
  ForearmBins bins;
  double settled_effort = 0.0;
  move::Cause cause = move::Cause::kNone;
};

struct ReachTask {
  int strip = 0;
  int i = 0, j = 0;  ///< on the fine lattice, across and up
  double fine_m = 0.0;
  double back_i = 0.0, back_j = 0.0;  ///< where the sources are, in fine steps from this one
  Care care = Care::kQuick;
  static constexpr std::size_t kMostSources = 8;
  BoundedVector<const ReachAnswer*, kMostSources> sources;  ///< to start from, best first; one at least
};

struct ReachOutcome {
  bool has_answer = false;
  ReachAnswer answer;
  bool is_blocked = false;  ///< met but for wall and room
  int n_solved = 0;
};

/// One thread's solver.
class ReachSolver {
 public:
  ReachSolver(const body::Body& body, ReachGoals& goals, std::uint64_t seed)
      : body_(body), goals_(goals), seed_(seed), warm_(body) {}

  /// From each source in turn until the place is held.
  [[nodiscard]] ReachOutcome solve(const ReachTask& task);

 private:
  [[nodiscard]] ReachAnswer solve_from(const ReachTask& task, const ReachAnswer& source, int& n_solved);
  void judge_again(const ReachTask& task, ReachAnswer& found);
  /// The task's place, or one `share` of the way to where it is asked to pass.
  [[nodiscard]] posture::StanceProblem make_touch(const ReachTask& task, double share, const ForearmBins& bins);
  [[nodiscard]] ReachAnswer press_from(const ReachTask& task, const ReachAnswer& source, int& n_solved);
  [[nodiscard]] ReachAnswer search_from(const ReachTask& task, const ReachAnswer& source, int& n_solved);
  void judge(const ReachTask& task, ReachAnswer& answer);

  const body::Body& body_;
  ReachGoals& goals_;
  std::uint64_t seed_;
  WarmStance warm_;
};

/// Solvers for as many threads as ask, and the threads of this process.
class ReachCrew {
 public:
  ReachCrew(const move::Scene& scene, const body::Body& body, const ReachQuestion& question, std::uint64_t seed,
            int n_threads);

  [[nodiscard]] ReachOutcome solve(const ReachTask& task);
  /// On the threads of this process.
  [[nodiscard]] std::vector<ReachOutcome> solve(const std::vector<ReachTask>& tasks);

  [[nodiscard]] ReachGoals& goals() { return goals_; }
  [[nodiscard]] const ReachGoals& goals() const { return goals_; }

 private:
  const body::Body& body_;
  std::uint64_t seed_;
  ReachGoals goals_;
  tbb::task_arena arena_;
  std::mutex mutex_;
  std::vector<std::unique_ptr<ReachSolver>> idle_;
};

}  // namespace steepwright::study
