// Pressing a reach map's border outward (reach_flood.h).

#include "engine/study/reach_flood.h"

#include <algorithm>
#include <limits>
#include <utility>

namespace steepwright::study {

namespace {

/// Postures whose joints differ by less than this lead to the same one, rad.
constexpr double kAlike = 0.1;
/// Fine steps along the border between places that are searched from nothing, and how often that is done again where it
/// has moved.
constexpr int kBetweenSearches = 16;
constexpr int kMostSearches = 4;

bool are_alike(const body::Posture& a, const body::Posture& b) {
  return (a.angles - b.angles).cwiseAbs().maxCoeff() < kAlike;
}

}  // namespace

bool ReachFlood::press_border() {
  mark_inside();
  std::size_t first_new = 0;
  for (int search = 0;; ++search) {
    const std::size_t n_before = answers_.size();
    if (!press_until_still()) return false;
    if (search == kMostSearches) return true;
    const std::vector<Task> tasks = collect_beside(first_new);
    if (tasks.empty()) return true;
    const std::size_t n_pressed = answers_.size();
    if (!solve_round(tasks, 0)) return false;
    const bool has_found = std::any_of(answers_.begin() + static_cast<std::ptrdiff_t>(n_pressed), answers_.end(),
                                       [](const ReachAnswer& answer) { return answer.stance.is_held; });
    if (!has_found) return true;
    first_new = n_before;
  }
}

bool ReachFlood::press_until_still() {
  ++round_;
  std::vector<Task> asked;
  for (int l = 0; l < static_cast<int>(lattices_.size()); ++l) {
    const StripLattice& lattice = lattices_[static_cast<std::size_t>(l)];
    for (int j = 0; j < lattice.n_j; ++j) {
      for (int i = 0; i < lattice.n_i; ++i) press(l, i, j, asked);
    }
  }
  while (!asked.empty()) {
    if (!solve_round(asked, 0)) return false;
    ++round_;
    std::vector<Task> next;
    for (const Task& task : asked) {
      if (!is_held(task.lattice, task.i, task.j)) {
        press(task.lattice, task.i, task.j, next);
        continue;
      }
      const StripLattice& lattice = lattices_[static_cast<std::size_t>(task.lattice)];
      for (const auto& [di, dj] : kNeighbours) {
        const int i = task.i + di;
        const int j = task.j + dj;
        if (lattice.has(i, j)) press(task.lattice, i, j, next);
      }
    }
    asked = std::move(next);
  }
  return true;
}

/// Idle places that hang together with held ones: the band of the border keeps them apart from those outside.
void ReachFlood::mark_inside() {
  struct Place {
    int i, j;
  };
  std::vector<Place> frontier;
  for (int l = 0; l < static_cast<int>(lattices_.size()); ++l) {
    const StripLattice& lattice = lattices_[static_cast<std::size_t>(l)];
    for (int j = 0; j < lattice.n_j; ++j) {
      for (int i = 0; i < lattice.n_i; ++i) {
        if (is_held(l, i, j)) frontier.push_back({i, j});
      }
    }
    while (!frontier.empty()) {
      const Place from = frontier.back();
      frontier.pop_back();
      for (std::size_t k = 0; k < 4; ++k) {  // not round corners
        const int i = from.i + kNeighbours[k][0];
        const int j = from.j + kNeighbours[k][1];
        if (!lattice.has(i, j)) continue;
        FloodNode& near = node_at(l, i, j);
        if (near.state != FloodNode::State::kIdle || near.is_inside || !is_amid_held(l, i, j)) continue;
        near.is_inside = true;
        frontier.push_back({i, j});
      }
    }
  }
}

/// Does the coarse cell that the place lies in have two held corners at least?
bool ReachFlood::is_amid_held(int l, int i, int j) const {
  const StripLattice& lattice = lattices_[static_cast<std::size_t>(l)];
  const int refine = options_.refine;
  const int left = i / refine * refine;
  const int low = j / refine * refine;
  int n_held = 0;
  for (const int dj : {0, refine}) {
    for (const int di : {0, refine})
      n_held += lattice.has(left + di, low + dj) && is_held(l, left + di, low + dj) ? 1 : 0;
  }
  return n_held >= 2;
}

/// Places beside held ones to be searched from nothing, where the border has moved since answer `first_new`.
std::vector<ReachFlood::Task> ReachFlood::collect_beside(std::size_t first_new) {
  std::vector<Task> tasks;
  for (int l = 0; l < static_cast<int>(lattices_.size()); ++l) {
    const StripLattice& lattice = lattices_[static_cast<std::size_t>(l)];
    leave_to_search(l, first_new);
    for (int j = 0; j < lattice.n_j; ++j) {
      for (int i = 0; i < lattice.n_i; ++i) {
        FloodNode& asked = node_at(l, i, j);
        const bool is_left = !asked.is_searched && !asked.is_sought && !asked.is_inside && !is_held(l, i, j);
        if (!is_left || !is_beside_held(l, i, j) || !is_within_bones(l, i, j)) continue;
        mark_searched(l, i, j, kBetweenSearches - 1, 1, true);
        asked.is_sought = true;
        if (asked.state == FloodNode::State::kIdle) asked.state = FloodNode::State::kActive;
        tasks.push_back({l, i, j, {0}, Care::kSeeking});
      }
    }
  }
  return tasks;
}

bool ReachFlood::is_beside_held(int l, int i, int j) const {
  const StripLattice& lattice = lattices_[static_cast<std::size_t>(l)];
  return std::any_of(kNeighbours.begin(), kNeighbours.end(), [&](const std::array<int, 2>& step) {
    return lattice.has(i + step[0], j + step[1]) && is_held(l, i + step[0], j + step[1]);
  });
}

/// Marks all places of a lattice but those near answers since `first_new` as searched.
void ReachFlood::leave_to_search(int l, std::size_t first_new) {
  for (FloodNode& node : nodes_[static_cast<std::size_t>(l)]) node.is_searched = first_new > 0;
  if (first_new == 0) return;
  const StripLattice& lattice = lattices_[static_cast<std::size_t>(l)];
  for (int j = 0; j < lattice.n_j; ++j) {
    for (int i = 0; i < lattice.n_i; ++i) {
      const FloodNode& held = node(l, i, j);
      const bool is_new = held.state == FloodNode::State::kHeld && static_cast<std::size_t>(held.answer) >= first_new;
      if (is_new) mark_searched(l, i, j, kBetweenSearches, 1, false);
    }
  }
}

/// Adds the place to the tasks when it is not held and has a held neighbour whose posture may lead to another one than
/// those that it was pressed from.
void ReachFlood::press(int lattice, int i, int j, std::vector<Task>& tasks) {
  FloodNode& place = node_at(lattice, i, j);
  if (place.state == FloodNode::State::kHeld || place.is_inside || place.pending_round > round_) return;
  const int k = find_press_source(lattice, i, j);
  if (k < 0 || (place.state == FloodNode::State::kIdle && !is_within_bones(lattice, i, j))) return;
  if (place.state == FloodNode::State::kIdle) place.state = FloodNode::State::kActive;
  const auto& [di, dj] = kNeighbours[static_cast<std::size_t>(k)];
  const int source = node(lattice, i + di, j + dj).answer;
  place.pressed.push_back(source);
  place.pending_round = round_ + 1;
  tasks.push_back({lattice, i, j, {source}, Care::kStubborn, static_cast<double>(di), static_cast<double>(dj)});
}

/// The held neighbour of least effort among those that the place was not pressed from or from one like it; -1: none.
int ReachFlood::find_press_source(int lattice, int i, int j) const {
  const StripLattice& own = lattices_[static_cast<std::size_t>(lattice)];
  const FloodNode& place = node(lattice, i, j);
  if (place.pressed.full()) return -1;
  int best = -1;
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t k = 0; k < kNeighbours.size(); ++k) {
    const auto& [di, dj] = kNeighbours[k];
    if (!own.has(i + di, j + dj) || !is_held(lattice, i + di, j + dj)) continue;
    const WarmAnswer& near = answer(node(lattice, i + di, j + dj)).stance;
    const bool is_known = std::any_of(place.pressed.begin(), place.pressed.end(), [&](int from) {
      return are_alike(answers_[static_cast<std::size_t>(from)].stance.posture, near.posture);
    });
    if (is_known || near.effort >= least) continue;
    best = static_cast<int>(k);
    least = near.effort;
  }
  return best;
}

}  // namespace steepwright::study
