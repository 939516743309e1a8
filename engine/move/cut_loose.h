#pragma once

/// A target that is out of reach with the feet as given may be within it when a foot leaves its hold on the way, or
/// hangs free from the start.

#include "engine/move/solve.h"

#include <optional>
#include <vector>

namespace steepwright::move {

struct CutLoose {
  std::vector<Limb> feet;      ///< that leave their holds
  bool is_from_start = false;  ///< they cannot come off on the way without a swing, but the move holds without them
  double effort_peak = 0.0;
};

/// The feet without which the move holds, on the way before from the start; nothing when it does not fail for reach, or
/// cutting does not help. `result`: the move solved with the same options.
[[nodiscard]] std::optional<CutLoose> find_cut_loose(const Scene& scene, const body::Body& body, const Move& move,
                                                     const MoveResult& result, const SolveOptions& options);

}  // namespace steepwright::move
