#pragma once

/// Where to put the feet: the placements, on holds, smeared on panel or kicker, or hanging free, with which a move
/// holds at the least peak effort. Pairs are pruned by reach, ordered by the effort of two stances, and the best are
/// traced.

#include "engine/move/solve.h"

#include <array>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace steepwright::move {

struct FootOptions {
  SolveOptions solve;
  int wanted = 5;  ///< choices returned
  int traced = 8;  ///< placements that are traced
  int n_threads = 2;
  const MoveResult* known = nullptr;  ///< the move as given, solved with these options; nullptr: it is traced here
  /// Called now and then from the calling thread with (done, total); return false to stop early: what is traced by then
  /// is returned.
  std::function<bool(int, int)> on_progress;
};

struct FootChoice {
  std::array<std::optional<LimbPlace>, 2> feet;  ///< left, right; none: hangs free. Of a moving foot: where it starts
  bool is_given = false;                         ///< as the move has them already
  double foot_share = 0.0;  ///< of the body's weight that the feet carry upward in the deciding frame
  std::string places;       ///< "left foot on 'kick left', right foot smears on 'main' at 1200, 300 mm"
  std::string reason;       ///< what decides, and how much the feet carry there
  MoveResult result;
};

/// The best placements, those that hold first, by peak effort. Deterministic on any number of threads.
[[nodiscard]] std::vector<FootChoice> find_feet(const Scene& scene, const body::Body& body, const Move& move,
                                                const FootOptions& options);

}  // namespace steepwright::move
