#pragma once

/// Traces the border of what is held on the fine lattice: where it crosses the edges of coarse cells by bisection, from
/// there cell by cell.

#include "engine/study/reach_flood.h"

#include <array>
#include <set>
#include <tuple>

namespace steepwright::study {

class BorderTracer {
 public:
  BorderTracer(ReachFlood& flood, int refine) : flood_(flood), refine_(refine) {}

  /// Solves the places along the border. False when stopped.
  bool trace();
  /// The border through the traced cells.
  [[nodiscard]] std::vector<BorderSegment> collect() const;

 private:
  /// An edge of the coarse lattice whose one end is held.
  struct Crossing {
    int lattice = 0, i = 0, j = 0;  ///< the held end
    int di = 0, dj = 0;             ///< towards the other end
    int held = 0, not_held = 0;     ///< fine steps from the held end
  };
  using Cell = std::tuple<int, int, int>;  ///< lattice, i, j of the lower left corner

  [[nodiscard]] std::vector<Crossing> find_crossings() const;
  bool bisect(std::vector<Crossing>& crossings);
  void add_beside(const Crossing& crossing, std::set<Cell>& cells) const;
  [[nodiscard]] bool is_inside(const Cell& cell) const;
  [[nodiscard]] std::array<bool, 4> find_held(const Cell& cell) const;
  void add_neighbours(const Cell& cell, std::set<Cell>& cells) const;

  ReachFlood& flood_;
  int refine_;
  std::set<Cell> traced_;
};

}  // namespace steepwright::study
