#include "engine/study/reach_flood.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace steepwright::study {

namespace {

/// A place is asked again when a neighbour becomes held, but not without end.
constexpr int kMostTries = 3;
constexpr std::size_t kMostSources = 2;
/// Steps around a place that was solved from several starts in which no other one is: 75 mm by default.
constexpr int kSearchDistance = 3;

/// A neighbour's answer to start from.
struct Source {
  bool is_held = false;
  double effort = 0.0;
  int answer = 0;
};

bool comes_before(const Source& a, const Source& b) {
  if (a.is_held != b.is_held) return a.is_held;
  return a.effort < b.effort;
}

}  // namespace

ReachFlood::ReachFlood(const body::Body& body, ReachCrew& crew, std::vector<StripLattice> lattices,
                       const ReachOptions& options)
    : body_(body), crew_(crew), goals_(crew.goals()), options_(options), lattices_(std::move(lattices)) {
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
  ReachAnswer start;
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
  if (is_stopped_) return false;
  if (tasks.empty()) return true;
  std::vector<ReachTask> asked(tasks.size());
  std::transform(tasks.begin(), tasks.end(), asked.begin(), [this](const Task& task) { return find_asked(task); });
  std::vector<ReachOutcome> outcomes = options_.run_round ? options_.run_round(asked, crew_) : crew_.solve(asked);
  is_stopped_ = outcomes.size() < tasks.size();
  if (is_stopped_) return false;
  for (std::size_t k = 0; k < tasks.size(); ++k) take(tasks[k], outcomes[k], step);
  is_stopped_ = options_.on_progress && !options_.on_progress(n_solved_, find_share());
  return !is_stopped_;
}

ReachTask ReachFlood::find_asked(const Task& task) const {
  const StripLattice& lattice = lattices_[static_cast<std::size_t>(task.lattice)];
  ReachTask asked{lattice.strip, task.i, task.j, lattice.fine_m, task.back_i, task.back_j, task.care, {}};
  for (const int source : task.sources) asked.sources.push_back(&answers_[static_cast<std::size_t>(source)]);
  return asked;
}

void ReachFlood::begin_part(double share, double stances) { part_ = {part_.to, share, n_solved_, stances}; }

/// A part that takes longer than foreseen comes ever slower to its end.
double ReachFlood::find_share() const {
  const double done = static_cast<double>(n_solved_ - part_.n_before) / part_.stances;
  return part_.from + (part_.to - part_.from) * done / std::max(1.0, done + 0.2);
}

void ReachFlood::take(const Task& task, ReachOutcome& outcome, int step) {
  FloodNode& node = node_at(task.lattice, task.i, task.j);
  n_solved_ += outcome.n_solved;
  ++node.tries;
  if (!outcome.has_answer) {
    if (node.answer < 0) node.state = FloodNode::State::kFailed;
    node.is_blocked = node.is_blocked || outcome.is_blocked;
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
