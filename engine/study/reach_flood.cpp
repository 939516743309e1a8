#include "engine/study/reach_flood.h"

#include <tbb/parallel_for.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace steepwright::study {

namespace {

/// A place is asked again when a neighbour becomes held, but not without end.
constexpr int kMostTries = 3;
constexpr std::size_t kMostSources = 2;
constexpr int kMostForearmPasses = 2;
/// Steps around a place that was solved from several starts in which no other one is: 75 mm by default.
constexpr int kSearchDistance = 3;
/// Further starts for a place that is searched from nothing: others along the border are too.
constexpr int kSeekingExtraStarts = 3;

/// A neighbour's answer to start from.
struct Source {
  bool is_held = false;
  double effort = 0.0;
  int answer = 0;
};

/// Of a stance that several starts have led to; others keep theirs.
Care find_care_after_search(Care care) {
  if (care == Care::kSearching) return Care::kPatient;
  return care == Care::kSeeking ? Care::kStubborn : care;
}

bool comes_before(const Source& a, const Source& b) {
  if (a.is_held != b.is_held) return a.is_held;
  return a.effort < b.effort;
}

}  // namespace

ReachFlood::ReachFlood(const body::Body& body, ReachGoals& goals, std::vector<StripLattice> lattices,
                       const ReachOptions& options)
    : body_(body),
      goals_(goals),
      options_(options),
      lattices_(std::move(lattices)),
      arena_(options.n_threads > 0 ? options.n_threads : tbb::task_arena::automatic),
      warm_([this] { return WarmStance(body_); }) {
  for (const StripLattice& lattice : lattices_) {
    nodes_.emplace_back(static_cast<std::size_t>(lattice.n_i) * static_cast<std::size_t>(lattice.n_j));
  }
}

const FloodNode& ReachFlood::node(int lattice, int i, int j) const {
  const auto k = static_cast<std::size_t>(lattice);
  return nodes_[k]
               [static_cast<std::size_t>(j) * static_cast<std::size_t>(lattices_[k].n_i) + static_cast<std::size_t>(i)];
}

FloodNode& ReachFlood::node_at(int lattice, int i, int j) {
  return const_cast<FloodNode&>(static_cast<const ReachFlood&>(*this).node(lattice, i, j));  // NOLINT
}

void ReachFlood::activate(int lattice, int i, int j) {
  FloodNode& node = node_at(lattice, i, j);
  if (node.state != FloodNode::State::kIdle || !is_within_bones(lattice, i, j)) return;
  node.state = FloodNode::State::kActive;
  pending_.push_back({lattice, i, j, {}, Care::kQuick});
}

bool ReachFlood::is_within_bones(int lattice, int i, int j) const {
  const StripLattice& own = lattices_[static_cast<std::size_t>(lattice)];
  return goals_.is_within_bones(goals_.find_contact(own.strip, i * own.fine_m, j * own.fine_m));
}

bool ReachFlood::sow(int stride) {
  FloodAnswer start;
  posture::StanceParams params;
  params.seed = options_.seed;
  {
    WarmStance warm(body_);
    posture::StanceProblem support = goals_.make_support({});
    posture::StanceAnswer found = posture::solve_stance(support, params, nullptr, warm.workspace());
    ++n_solved_;
    if (!found.has_posture) return false;
    body::update_kinematics(body_.tree, found.posture, warm.workspace().search.posture.kinematics);
    start.bins = goals_.find_bins(warm.kinematics(), {});
    start.stance.posture = found.posture;
  }
  answers_.push_back(start);
  std::vector<Task> tasks;
  for (int l = 0; l < static_cast<int>(lattices_.size()); ++l) {
    const StripLattice& lattice = lattices_[static_cast<std::size_t>(l)];
    for (int j = 0; j < lattice.n_j; j += stride) {
      for (int i = 0; i < lattice.n_i; i += stride) {
        if (node(l, i, j).state != FloodNode::State::kActive) continue;
        tasks.push_back({l, i, j, {0}, Care::kThorough});
      }
    }
  }
  // Sources of poor postures would spread them.
  return solve_round(tasks, 0) && even_out(stride);
}

bool ReachFlood::run(int step) {
  while (true) {
    const std::vector<Task> tasks = collect_tasks(step);
    if (tasks.empty()) return true;
    if (!solve_round(tasks, step)) return false;
  }
}

/// The pending places that have a solved neighbour; the others wait for one.
std::vector<ReachFlood::Task> ReachFlood::collect_tasks(int step) {
  std::vector<Task> tasks;
  std::vector<Task> waiting;
  for (Task& task : pending_) {
    FloodNode& node = node_at(task.lattice, task.i, task.j);
    if (node.state == FloodNode::State::kHeld) continue;
    const int n_held = gather_sources(step, step < options_.refine ? 1 : kMostSources, task);
    // Between coarse places the border itself is at stake.
    const Care near_held = step < options_.refine ? Care::kPatient : Care::kThorough;
    task.care = n_held > 0 ? near_held : Care::kQuick;
    if (task.sources.empty()) {
      if (node.state == FloodNode::State::kActive) waiting.push_back(task);
      continue;
    }
    if (node.tries >= kMostTries || task.sources[0] == node.tried) continue;
    node.tried = task.sources[0];
    tasks.push_back(task);
  }
  const bool can_go_on = !tasks.empty();
  pending_ = std::move(waiting);
  ++round_;
  return can_go_on ? tasks : std::vector<Task>{};
}

/// Answers of the neighbours, held ones first, then by effort.
int ReachFlood::gather_sources(int step, std::size_t most, Task& task) const {
  const StripLattice& lattice = lattices_[static_cast<std::size_t>(task.lattice)];
  BoundedVector<Source, kNeighbours.size()> found;
  const auto insert = [&found](const Source& source) {
    found.push_back(source);
    for (std::size_t k = found.size() - 1; k > 0 && comes_before(found[k], found[k - 1]); --k)
      std::swap(found[k], found[k - 1]);
  };
  for (const auto& [di, dj] : kNeighbours) {
    const int i = task.i + di * step;
    const int j = task.j + dj * step;
    if (!lattice.has(i, j)) continue;
    const FloodNode& near = node(task.lattice, i, j);
    if (near.answer < 0) continue;
    insert({near.state == FloodNode::State::kHeld, answer(near).stance.effort, near.answer});
  }
  task.sources.clear();
  const auto n_held = std::count_if(found.begin(), found.end(), [](const Source& source) { return source.is_held; });
  for (const Source& source : found) {
    if (task.sources.size() >= most || (n_held > 0 && !source.is_held)) break;
    task.sources.push_back(source.answer);
  }
  return static_cast<int>(n_held);
}

bool ReachFlood::mend(int step) {
  constexpr int kMost = 4;  // of eight neighbours
  std::vector<Task> tasks;
  for (int l = 0; l < static_cast<int>(lattices_.size()); ++l) {
    const StripLattice& lattice = lattices_[static_cast<std::size_t>(l)];
    for (int j = 0; j < lattice.n_j; j += step) {
      for (int i = 0; i < lattice.n_i; i += step) {
        const FloodNode::State state = node(l, i, j).state;
        if (state != FloodNode::State::kMet && state != FloodNode::State::kFailed) continue;
        Task task{l, i, j, {}, Care::kPatient};
        if (gather_sources(step, kMost, task) >= kMost) tasks.push_back(task);
      }
    }
  }
  return solve_round(tasks, step) && run(step);
}

bool ReachFlood::search_border(int step) {
  for (std::vector<FloodNode>& nodes : nodes_) {
    for (FloodNode& node : nodes) node.is_searched = false;
  }
  constexpr int kMostRounds = 12;
  constexpr double kInSight = 1.5;  // several starts do not lower an effort by more than a third
  for (int round = 0; round < kMostRounds; ++round) {
    std::vector<Task> tasks;
    for (int l = 0; l < static_cast<int>(lattices_.size()); ++l) {
      const StripLattice& lattice = lattices_[static_cast<std::size_t>(l)];
      for (int j = 0; j < lattice.n_j; j += step) {
        for (int i = 0; i < lattice.n_i; i += step) {
          const FloodNode& asked = node(l, i, j);
          const bool is_out = asked.state == FloodNode::State::kMet || asked.state == FloodNode::State::kFailed;
          if (!is_out || asked.is_searched) continue;
          Task task{l, i, j, {}, Care::kSearching};
          if (gather_sources(step, 1, task) == 0) continue;
          const double effort =
              asked.answer >= 0 ? answer(asked).stance.effort : std::numeric_limits<double>::infinity();
          if (effort >= kInSight && std::isfinite(effort)) continue;
          mark_searched(l, i, j, kSearchDistance * step, step, true);
          tasks.push_back(task);
        }
      }
    }
    if (tasks.empty()) break;
    if (!solve_round(tasks, step) || !run(step)) return false;
  }
  return true;
}

void ReachFlood::mark_searched(int lattice, int i, int j, int around, int step, bool is_searched) {
  const StripLattice& own = lattices_[static_cast<std::size_t>(lattice)];
  for (int near_j = std::max(0, j - around); near_j <= std::min(own.n_j - 1, j + around); near_j += step) {
    for (int near_i = std::max(0, i - around); near_i <= std::min(own.n_i - 1, i + around); near_i += step)
      node_at(lattice, near_i, near_j).is_searched = is_searched;
  }
}

bool ReachFlood::even_out(int step) {
  constexpr int kMostRounds = 3;
  constexpr double kClearlyLess = 0.05;
  for (int round = 0; round < kMostRounds; ++round) {
    std::vector<Task> tasks;
    for (int l = 0; l < static_cast<int>(lattices_.size()); ++l) {
      const StripLattice& lattice = lattices_[static_cast<std::size_t>(l)];
      for (int j = 0; j < lattice.n_j; j += step) {
        for (int i = 0; i < lattice.n_i; i += step) {
          if (!is_held(l, i, j)) continue;
          Task task{l, i, j, {}, Care::kThorough};
          if (gather_sources(step, 1, task) == 0) continue;
          const double least = answers_[static_cast<std::size_t>(task.sources[0])].stance.effort;
          if (least < answer(node(l, i, j)).stance.effort - kClearlyLess) tasks.push_back(task);
        }
      }
    }
    if (tasks.empty()) break;
    if (!solve_round(tasks, 0)) return false;
  }
  return true;
}

bool ReachFlood::probe(const std::vector<Probe>& probes) {
  std::vector<Task> tasks;
  for (const Probe& probe : probes) {
    FloodNode& asked = node_at(probe.lattice, probe.i, probe.j);
    const FloodNode& from = node(probe.lattice, probe.from_i, probe.from_j);
    const bool is_new = asked.state == FloodNode::State::kIdle && is_within_bones(probe.lattice, probe.i, probe.j);
    if (!is_new || from.answer < 0) continue;
    asked.state = FloodNode::State::kActive;
    tasks.push_back({probe.lattice, probe.i, probe.j, {from.answer}, Care::kPatient});
  }
  return solve_round(tasks, 0);
}

bool ReachFlood::solve_round(const std::vector<Task>& tasks, int step) {
  std::vector<Outcome> outcomes(tasks.size());
  arena_.execute(
      [&] { tbb::parallel_for(std::size_t{0}, tasks.size(), [&](std::size_t k) { outcomes[k] = solve(tasks[k]); }); });
  for (std::size_t k = 0; k < tasks.size(); ++k) take(tasks[k], outcomes[k], step);
  return !options_.on_progress || options_.on_progress(n_solved_, find_share());
}

void ReachFlood::begin_part(double share, double stances) { part_ = {part_.to, share, n_solved_, stances}; }

/// A part that takes longer than foreseen comes ever slower to its end.
double ReachFlood::find_share() const {
  const double done = static_cast<double>(n_solved_ - part_.n_before) / part_.stances;
  return part_.from + (part_.to - part_.from) * done / std::max(1.0, done + 0.2);
}

/// From each source in turn until the place is held.
ReachFlood::Outcome ReachFlood::solve(const Task& task) {
  WarmStance& warm = warm_.local();
  Outcome outcome;
  for (const int source : task.sources) {
    const FloodAnswer& from = answers_[static_cast<std::size_t>(source)];
    const bool is_search = task.care == Care::kSearching || task.care == Care::kSeeking;
    FloodAnswer found = is_search                      ? search_from(task, from, warm, outcome.n_solved)
                        : task.care == Care::kStubborn ? press_from(task, from, warm, outcome.n_solved)
                                                       : solve_from(task, from, warm, outcome.n_solved);
    if (found.stance.has_posture && (!outcome.has_answer || found.stance.effort < outcome.answer.stance.effort)) {
      outcome.answer = found;
      outcome.has_answer = true;
    }
    if (outcome.has_answer && (outcome.answer.stance.is_held || task.care == Care::kQuick)) break;
  }
  if (outcome.has_answer) {
    judge(task, warm, outcome.answer);
  } else {
    const FloodAnswer& from = answers_[static_cast<std::size_t>(task.sources[0])];
    const StripLattice& lattice = lattices_[static_cast<std::size_t>(task.lattice)];
    outcome.blocked = warm.is_met_without_clearance(
        goals_.make_touch(from.bins, lattice.strip, task.i * lattice.fine_m, task.j * lattice.fine_m),
        from.stance.posture);
  }
  return outcome;
}

FloodAnswer ReachFlood::solve_from(const Task& task, const FloodAnswer& source, WarmStance& warm, int& n_solved,
                                   double share) {
  FloodAnswer found;
  found.bins = source.bins;
  const body::Posture* from = &source.stance.posture;
  posture::BalanceRegion balance = source.stance.balance;
  for (int pass = 0; pass < kMostForearmPasses; ++pass) {
    const posture::StanceProblem problem = make_touch(task, share, found.bins);
    found.stance = warm.solve(problem, *from, find_care_after_search(task.care), balance);
    ++n_solved;
    if (!found.stance.has_posture) break;
    body::update_kinematics(body_.tree, found.stance.posture, warm.workspace().search.posture.kinematics);
    const ForearmBins bins = goals_.find_bins(warm.kinematics(), found.bins);
    if (bins == found.bins) break;
    found.bins = bins;
    balance = {};
    from = &found.stance.posture;
    if (pass + 1 == kMostForearmPasses) judge_again(task, share, warm, found);
  }
  return found;
}

/// The same posture with the capacity sets of the forearms that it ends with.
void ReachFlood::judge_again(const Task& task, double share, WarmStance& warm, FloodAnswer& found) {
  found.stance.effort = warm.find_effort(make_touch(task, share, found.bins), found.stance.posture);
  found.stance.is_held = is_enough(found.stance.effort);
  found.stance.balance = {};
}

posture::StanceProblem ReachFlood::make_touch(const Task& task, double share, const ForearmBins& bins) {
  const StripLattice& lattice = lattices_[static_cast<std::size_t>(task.lattice)];
  return goals_.make_touch(bins, lattice.strip, (task.i + share * task.back_i) * lattice.fine_m,
                           (task.j + share * task.back_j) * lattice.fine_m);
}

FloodAnswer ReachFlood::search_from(const Task& task, const FloodAnswer& source, WarmStance& warm, int& n_solved) {
  const StripLattice& lattice = lattices_[static_cast<std::size_t>(task.lattice)];
  const posture::StanceProblem problem =
      goals_.make_touch(source.bins, lattice.strip, task.i * lattice.fine_m, task.j * lattice.fine_m);
  posture::StanceParams params;
  params.seed = options_.seed;
  const bool is_seeking = task.care == Care::kSeeking;
  if (is_seeking) params.extra_starts = kSeekingExtraStarts;
  FloodAnswer start = source;
  const body::Posture* near = is_seeking ? nullptr : &source.stance.posture;
  start.stance.posture = posture::solve_stance(problem, params, near, warm.workspace()).posture;
  ++n_solved;
  return solve_from(task, start, warm, n_solved);
}

/// Cause of what is not held, and the effort with the new hold loaded.
void ReachFlood::judge(const Task& task, WarmStance& warm, FloodAnswer& answer) {
  const StripLattice& lattice = lattices_[static_cast<std::size_t>(task.lattice)];
  const WarmAnswer& stance = answer.stance;
  answer.settled_effort = stance.effort;
  if (!stance.is_held) {
    answer.cause = !stance.has_limit                                                ? move::Cause::kSlip
                   : stance.limit.kind == statics::LimitShare::Kind::kCapacityBound ? move::Cause::kGrip
                                                                                    : move::Cause::kStrength;
  } else if (goals_.has_hold()) {
    answer.settled_effort = warm.find_effort(
        goals_.make_settled(answer.bins, lattice.strip, task.i * lattice.fine_m, task.j * lattice.fine_m),
        stance.posture);
  }
}

void ReachFlood::take(const Task& task, Outcome& outcome, int step) {
  FloodNode& node = node_at(task.lattice, task.i, task.j);
  n_solved_ += outcome.n_solved;
  ++node.tries;
  if (!outcome.has_answer) {
    if (node.answer < 0) node.state = FloodNode::State::kFailed;
    node.is_blocked = node.is_blocked || outcome.blocked;
    return;
  }
  const bool is_new = node.answer < 0;
  if (!is_new && outcome.answer.stance.effort >= answer(node).stance.effort) return;
  const bool is_held = outcome.answer.stance.is_held;
  node.answer = static_cast<int>(answers_.size());
  node.state = is_held ? FloodNode::State::kHeld : FloodNode::State::kMet;
  answers_.push_back(std::move(outcome.answer));
  if (step > 0 && (is_new || is_held)) ask_neighbours(task, step);
}

/// Neighbours that are not held may be so from here.
void ReachFlood::ask_neighbours(const Task& task, int step) {
  const StripLattice& lattice = lattices_[static_cast<std::size_t>(task.lattice)];
  const bool is_held = node(task.lattice, task.i, task.j).state == FloodNode::State::kHeld;
  for (const auto& [di, dj] : kNeighbours) {
    const int i = task.i + di * step;
    const int j = task.j + dj * step;
    if (!lattice.has(i, j)) continue;
    FloodNode& near = node_at(task.lattice, i, j);
    const bool can_gain = near.state == FloodNode::State::kFailed || (is_held && near.state == FloodNode::State::kMet);
    if (!can_gain || near.pending_round > round_) continue;
    near.pending_round = round_ + 1;
    pending_.push_back({task.lattice, i, j, {}, Care::kQuick});
  }
}

}  // namespace steepwright::study
