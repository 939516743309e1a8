#include "engine/study/reach_solver.h"

#include <tbb/parallel_for.h>

#include <algorithm>

namespace steepwright::study {

namespace {

constexpr int kMostForearmPasses = 2;
/// Further starts for a place that is searched from nothing: others along the border are too.
constexpr int kSeekingExtraStarts = 3;
/// Tries to meet the contacts there, before the place is given up: another one further along may be met.
constexpr int kSeekingMostStarts = 8;

/// Of a stance that several starts have led to; others keep theirs.
Care find_care_after_search(Care care) {
  if (care == Care::kSearching) return Care::kPatient;
  return care == Care::kSeeking ? Care::kStubborn : care;
}

}  // namespace

/// From each source in turn until the place is held.
ReachOutcome ReachSolver::solve(const ReachTask& task) {
  ReachOutcome outcome;
  for (const ReachAnswer* source : task.sources) {
    const ReachAnswer& from = *source;
    const bool is_search = task.care == Care::kSearching || task.care == Care::kSeeking;
    ReachAnswer found = is_search                      ? search_from(task, from, outcome.n_solved)
                        : task.care == Care::kStubborn ? press_from(task, from, outcome.n_solved)
                                                       : solve_from(task, from, outcome.n_solved);
    if (found.stance.has_posture && (!outcome.has_answer || found.stance.effort < outcome.answer.stance.effort)) {
      outcome.answer = found;
      outcome.has_answer = true;
    }
    if (outcome.has_answer && (outcome.answer.stance.is_held || task.care == Care::kQuick)) break;
  }
  if (outcome.has_answer) {
    judge(task, outcome.answer);
  } else {
    const ReachAnswer& from = *task.sources[0];
    outcome.is_blocked = warm_.is_met_without_clearance(make_touch(task, 0.0, from.bins), from.stance.posture);
  }
  return outcome;
}

ReachAnswer ReachSolver::solve_from(const ReachTask& task, const ReachAnswer& source, int& n_solved) {
  ReachAnswer found;
  found.bins = source.bins;
  const body::Posture* from = &source.stance.posture;
  posture::BalanceRegion balance = source.stance.balance;
  for (int pass = 0; pass < kMostForearmPasses; ++pass) {
    const posture::StanceProblem problem = make_touch(task, 0.0, found.bins);
    found.stance = warm_.solve(problem, *from, find_care_after_search(task.care), balance);
    ++n_solved;
    if (!found.stance.has_posture) break;
    body::update_kinematics(body_.tree, found.stance.posture, warm_.workspace().search.posture.kinematics);
    const ForearmBins bins = goals_.find_bins(warm_.kinematics(), found.bins);
    if (bins == found.bins) break;
    found.bins = bins;
    balance = {};
    from = &found.stance.posture;
    if (pass + 1 == kMostForearmPasses) judge_again(task, found);
  }
  return found;
}

/// The same posture with the capacity sets of the forearms that it ends with.
void ReachSolver::judge_again(const ReachTask& task, ReachAnswer& found) {
  found.stance.effort = warm_.find_effort(make_touch(task, 0.0, found.bins), found.stance.posture);
  found.stance.is_held = is_enough(found.stance.effort);
  found.stance.balance = {};
}

posture::StanceProblem ReachSolver::make_touch(const ReachTask& task, double share, const ForearmBins& bins) {
  return goals_.make_touch(bins, task.strip, (task.i + share * task.back_i) * task.fine_m,
                           (task.j + share * task.back_j) * task.fine_m);
}

ReachAnswer ReachSolver::search_from(const ReachTask& task, const ReachAnswer& source, int& n_solved) {
  const posture::StanceProblem problem = make_touch(task, 0.0, source.bins);
  posture::StanceParams params;
  params.seed = seed_;
  const bool is_seeking = task.care == Care::kSeeking;
  if (is_seeking) {
    params.extra_starts = kSeekingExtraStarts;
    params.max_starts = kSeekingMostStarts;
  }
  ReachAnswer start = source;
  const body::Posture* near = is_seeking ? nullptr : &source.stance.posture;
  start.stance.posture = posture::solve_stance(problem, params, near, warm_.workspace()).posture;
  ++n_solved;
  return solve_from(task, start, n_solved);
}

/// Cause of what is not held, and the effort with the new hold loaded.
void ReachSolver::judge(const ReachTask& task, ReachAnswer& answer) {
  const WarmAnswer& stance = answer.stance;
  answer.settled_effort = stance.effort;
  if (!stance.is_held) {
    answer.cause = !stance.has_limit                                                ? move::Cause::kSlip
                   : stance.limit.kind == statics::LimitShare::Kind::kCapacityBound ? move::Cause::kGrip
                                                                                    : move::Cause::kStrength;
  } else if (goals_.has_hold()) {
    answer.settled_effort = warm_.find_effort(
        goals_.make_settled(answer.bins, task.strip, task.i * task.fine_m, task.j * task.fine_m), stance.posture);
  }
}

/// As far towards the place as the source's posture can be led.
ReachAnswer ReachSolver::press_from(const ReachTask& task, const ReachAnswer& source, int& n_solved) {
  ReachAnswer found;
  found.bins = source.bins;
  found.stance = warm_.lead(make_touch(task, 1.0, source.bins), make_touch(task, 0.0, source.bins),
                            source.stance.posture, source.stance.balance);
  ++n_solved;
  if (!found.stance.has_posture) return found;
  body::update_kinematics(body_.tree, found.stance.posture, warm_.workspace().search.posture.kinematics);
  const ForearmBins bins = goals_.find_bins(warm_.kinematics(), found.bins);
  if (bins == found.bins) return found;
  found.bins = bins;
  const bool was_held = found.stance.is_held;
  judge_again(task, found);
  return was_held && !found.stance.is_held ? solve_from(task, found, n_solved) : found;
}

ReachCrew::ReachCrew(const move::Scene& scene, const body::Body& body, const ReachQuestion& question,
                     std::uint64_t seed, int n_threads)
    : body_(body),
      seed_(seed),
      goals_(scene, body, question),
      arena_(n_threads > 0 ? n_threads : tbb::task_arena::automatic) {}

ReachOutcome ReachCrew::solve(const ReachTask& task) {
  std::unique_ptr<ReachSolver> solver;
  {
    const std::lock_guard lock(mutex_);
    if (!idle_.empty()) {
      solver = std::move(idle_.back());
      idle_.pop_back();
    }
  }
  if (!solver) solver = std::make_unique<ReachSolver>(body_, goals_, seed_);
  ReachOutcome outcome = solver->solve(task);
  const std::lock_guard lock(mutex_);
  idle_.push_back(std::move(solver));
  return outcome;
}

std::vector<ReachOutcome> ReachCrew::solve(const std::vector<ReachTask>& tasks) {
  std::vector<ReachOutcome> outcomes(tasks.size());
  arena_.execute(
      [&] { tbb::parallel_for(std::size_t{0}, tasks.size(), [&](std::size_t k) { outcomes[k] = solve(tasks[k]); }); });
  return outcomes;
}

}  // namespace steepwright::study
