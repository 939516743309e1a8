#pragma once

/// What would make a move hold: how many millimetres closer the target must come, how much less the wall must lean, how
/// much more friction, depth, incut or finger strength it takes. Found by solving the changed move again and again; the
/// last run with the amount that is told holds.

#include "engine/move/solve.h"

#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace steepwright::move {

enum class Remedy {
  kTargetCloser,  ///< along the best direction on the panel
  kTargetUp,
  kTargetDown,
  kTargetLeft,
  kTargetRight,
  kLessOverhang,     ///< all strips that lean over lean less
  kMoreFriction,     ///< factor on every coefficient
  kDeeperHold,       ///< of the hand that decides
  kMoreIncut,        ///< of the same
  kStrongerFingers,  ///< factor on the force on the reference edge
};
inline constexpr std::size_t kRemedyCount = 10;
[[nodiscard]] std::string_view name_of(Remedy remedy);

struct RemedyResult {
  Remedy remedy = Remedy::kTargetCloser;
  /// m for places and depth, rad for angles, the share that is added for friction and strength (0.2: 20 % more); none:
  /// not even the most that was tried (largest) helps, or it cannot be tried on this move.
  std::optional<double> amount;
  double largest = 0.0;               ///< the most that was tried
  double across_m = 0.0, up_m = 0.0;  ///< kTargetCloser: the way, in the panel; |(across, up)| = amount
  std::string hold;                   ///< whose depth or incut
  std::optional<double> effort_peak;  ///< of the run that holds
  int runs = 0;                       ///< moves solved; places of the target that were asked for before are known
};

struct RemedyOptions {
  SolveOptions solve;
  std::vector<Remedy> remedies;       ///< empty: all
  const MoveResult* known = nullptr;  ///< the move as it is, solved with these options; nullptr: it is traced here
  int threads = 1;                    ///< 0: as many as the machine has; the answer does not depend on it
  /// Called before a remedy with (done, total); return false to stop early: then without those not yet solved.
  std::function<bool(int, int)> on_progress;
};

/// One result a remedy, in the order asked. For a move that holds already every amount is 0 and nothing is solved
/// again.
[[nodiscard]] std::vector<RemedyResult> solve_remedies(const Scene& scene, const Move& move,
                                                       const RemedyOptions& options);

}  // namespace steepwright::move
