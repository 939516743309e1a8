// Pressing a reach map's border outward (reach_flood.h).

#include "engine/study/reach_flood.h"

#include <algorithm>
#include <utility>

namespace steepwright::study {

namespace {

/// Fine steps from the border in which places inside it are solved too before it is pressed: one coarse step by
/// default.
constexpr int kBand = 5;
/// A place that was pressed once and is left with more effort than this is not pressed from other neighbours.
constexpr double kFarFromHeld = 1.08;

}  // namespace

bool ReachFlood::press_border() {
  mark_inside();
  ++round_;
  std::vector<Task> asked;
  for (int l = 0; l < static_cast<int>(lattices_.size()); ++l) {
    const StripLattice& lattice = lattices_[static_cast<std::size_t>(l)];
    for (int j = 0; j < lattice.n_j; ++j) {
      for (int i = 0; i < lattice.n_i; ++i) {
        const FloodNode& near = node(l, i, j);
        if (near.state != FloodNode::State::kHeld && !near.is_inside) press(l, i, j, asked);
      }
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
        if (near.state != FloodNode::State::kIdle || near.is_inside) continue;
        near.is_inside = true;
        frontier.push_back({i, j});
      }
    }
    free_band(l);
  }
}

/// Places near those outside are asked too, so that the border is pressed from straight inside.
void ReachFlood::free_band(int l) {
  const StripLattice& lattice = lattices_[static_cast<std::size_t>(l)];
  for (int j = 0; j < lattice.n_j; ++j) {
    for (int i = 0; i < lattice.n_i; ++i) {
      const FloodNode::State state = node(l, i, j).state;
      if (state != FloodNode::State::kMet && state != FloodNode::State::kFailed) continue;
      for (int near_j = std::max(0, j - kBand); near_j <= std::min(lattice.n_j - 1, j + kBand); ++near_j) {
        for (int near_i = std::max(0, i - kBand); near_i <= std::min(lattice.n_i - 1, i + kBand); ++near_i)
          node_at(l, near_i, near_j).is_inside = false;
      }
    }
  }
}

/// Adds the place to the tasks when it is not held and has a held neighbour that it was not pressed from yet.
void ReachFlood::press(int lattice, int i, int j, std::vector<Task>& tasks) {
  const StripLattice& own = lattices_[static_cast<std::size_t>(lattice)];
  FloodNode& place = node_at(lattice, i, j);
  if (place.state == FloodNode::State::kHeld || place.pending_round > round_) return;
  const bool is_far = place.answer >= 0 && answer(place).stance.effort > kFarFromHeld;
  if (is_far && std::any_of(place.pressed.begin(), place.pressed.end(), [](int from) { return from > 0; })) return;
  if (place.state == FloodNode::State::kIdle && (place.is_inside || !is_within_bones(lattice, i, j))) return;
  for (std::size_t k = 0; k < kNeighbours.size(); ++k) {
    const auto& [di, dj] = kNeighbours[k];
    if (!own.has(i + di, j + dj)) continue;
    const FloodNode& near = node(lattice, i + di, j + dj);
    if (near.state != FloodNode::State::kHeld || place.pressed[k] == near.answer + 1) continue;
    place.pressed[k] = near.answer + 1;
    place.pending_round = round_ + 1;
    if (place.state == FloodNode::State::kIdle) place.state = FloodNode::State::kActive;
    tasks.push_back({lattice, i, j, {near.answer}, Care::kStubborn, static_cast<double>(di), static_cast<double>(dj)});
    return;
  }
}

/// By way of the place half way to the neighbour.
FloodAnswer ReachFlood::press_from(const Task& task, const FloodAnswer& source, WarmStance& warm, int& n_solved) {
  FloodAnswer half = solve_from(task, source, warm, n_solved, 0.5);
  if (!half.stance.is_held) return half;
  return solve_from(task, half, warm, n_solved);
}

}  // namespace steepwright::study
