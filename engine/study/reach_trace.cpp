#include "engine/study/reach_trace.h"

#include "engine/study/reach_border.h"

#include <algorithm>

namespace steepwright::study {

bool BorderTracer::trace() {
  traced_.clear();
  std::vector<Crossing> crossings = find_crossings();
  if (!bisect(crossings)) return false;
  std::set<Cell> frontier;
  for (const Crossing& crossing : crossings) add_beside(crossing, frontier);
  while (!frontier.empty()) {
    for (const auto& [lattice, i, j] : frontier) {
      for (const int dj : {0, 1}) {
        for (const int di : {0, 1}) flood_.activate(lattice, i + di, j + dj);
      }
    }
    if (!flood_.run(1)) return false;
    traced_.insert(frontier.begin(), frontier.end());
    std::set<Cell> next;
    for (const Cell& cell : frontier) add_neighbours(cell, next);
    frontier = std::move(next);
  }
  return true;
}

std::vector<BorderTracer::Crossing> BorderTracer::find_crossings() const {
  std::vector<Crossing> crossings;
  for (int l = 0; l < static_cast<int>(flood_.lattices().size()); ++l) {
    const StripLattice& lattice = flood_.lattices()[static_cast<std::size_t>(l)];
    for (int j = 0; j < lattice.n_j; j += refine_) {
      for (int i = 0; i < lattice.n_i; i += refine_) {
        if (!flood_.is_held(l, i, j)) continue;
        for (const auto& [di, dj] : std::initializer_list<std::pair<int, int>>{std::pair{1, 0}, std::pair{-1, 0},
                                                                               std::pair{0, 1}, std::pair{0, -1}}) {
          const int end_i = i + di * refine_;
          const int end_j = j + dj * refine_;
          const bool is_on = lattice.has(end_i, end_j);
          if (is_on && !flood_.is_held(l, end_i, end_j)) crossings.push_back({l, i, j, di, dj, 0, refine_});
        }
      }
    }
  }
  return crossings;
}

bool BorderTracer::bisect(std::vector<Crossing>& crossings) {
  for (int width = refine_; width > 1; width = (width + 1) / 2) {
    std::vector<ReachFlood::Probe> probes;
    for (const Crossing& c : crossings) {
      if (c.not_held - c.held < 2) continue;
      const int middle = (c.held + c.not_held) / 2;
      probes.push_back({c.lattice, c.i + middle * c.di, c.j + middle * c.dj, c.i + c.held * c.di, c.j + c.held * c.dj});
    }
    if (!flood_.probe(probes)) return false;
    for (Crossing& c : crossings) {
      if (c.not_held - c.held < 2) continue;
      const int middle = (c.held + c.not_held) / 2;
      (flood_.is_held(c.lattice, c.i + middle * c.di, c.j + middle * c.dj) ? c.held : c.not_held) = middle;
    }
  }
  return true;
}

/// The two fine cells on either side of the fine edge where the border crosses.
void BorderTracer::add_beside(const Crossing& c, std::set<Cell>& cells) const {
  const int i = std::min(c.i + c.held * c.di, c.i + c.not_held * c.di);
  const int j = std::min(c.j + c.held * c.dj, c.j + c.not_held * c.dj);
  for (const Cell& cell : {Cell{c.lattice, i, j}, Cell{c.lattice, i - std::abs(c.dj), j - std::abs(c.di)}}) {
    if (is_inside(cell)) cells.insert(cell);
  }
}

bool BorderTracer::is_inside(const Cell& cell) const {
  const auto& [l, i, j] = cell;
  const StripLattice& lattice = flood_.lattices()[static_cast<std::size_t>(l)];
  return i >= 0 && j >= 0 && i + 1 < lattice.n_i && j + 1 < lattice.n_j;
}

/// Counter-clockwise from the lower left corner.
std::array<bool, 4> BorderTracer::find_held(const Cell& cell) const {
  const auto& [l, i, j] = cell;
  return {flood_.is_held(l, i, j), flood_.is_held(l, i + 1, j), flood_.is_held(l, i + 1, j + 1),
          flood_.is_held(l, i, j + 1)};
}

/// The cells that the border goes on into.
void BorderTracer::add_neighbours(const Cell& cell, std::set<Cell>& cells) const {
  const auto& [l, i, j] = cell;
  const std::array<bool, 4> held = find_held(cell);
  const std::array<Cell, 4> across = {Cell{l, i, j - 1}, Cell{l, i + 1, j}, Cell{l, i, j + 1}, Cell{l, i - 1, j}};
  for (std::size_t side = 0; side < 4; ++side) {
    if (held[side] == held[(side + 1) % 4] || !is_inside(across[side]) || traced_.contains(across[side])) continue;
    cells.insert(across[side]);
  }
}

std::vector<BorderSegment> BorderTracer::collect() const {
  std::vector<BorderSegment> border;
  for (const Cell& cell : traced_) {
    const auto& [l, i, j] = cell;
    const StripLattice& lattice = flood_.lattices()[static_cast<std::size_t>(l)];
    add_border(lattice.strip, i * lattice.fine_m, j * lattice.fine_m, lattice.fine_m, find_held(cell), border);
  }
  return border;
}

}  // namespace steepwright::study
