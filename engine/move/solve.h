#pragma once

/// The main job: every move of a scene, phase by phase, to a verdict with its cause and amount.

#include "engine/move/result.h"
#include "engine/move/scene.h"
#include "engine/posture/stance.h"

#include <functional>
#include <vector>

namespace steepwright::move {

inline constexpr int kForearmPasses = 3;

struct SolveOptions {
  posture::StanceParams stance;
  /// On every coefficient of skin and rubber: the cones; what fingers and feet can pull stays as computed.
  double friction_factor = 1.0;
  double hand_factor = 1.0;  ///< on what every hand can pull as computed, in whatever direction
  /// A foot leaves its hold not only where it cannot hold, but also where its leg is too short for the limb to reach
  /// the target. Else such a target is out of reach with the feet as given.
  bool may_cut_to_reach = false;
  /// A trace of nearly this move: its stances are tried as starts too where those of this one have little to spare.
  const MoveResult* like = nullptr;
  /// Only the verdict is asked: the trace ends at a stance that is far from holding. It is then not static, and nothing
  /// else of the result counts.
  bool verdict_only = false;
  int finer = 0;  ///< halvings of the step between frames beyond the usual ones
  /// Called before each move with (done, total); return false to stop early (the result then holds the moves done).
  std::function<bool(int, int)> on_progress;
  /// Asked before every stance that solve_move solves; true ends the move at once: its result has a name, no frames,
  /// and means nothing.
  std::function<bool()> is_cancelled;
};

/// One move, traced (trace.h); `hands` is for this scene's climber (goals.h), kept from move to move.
[[nodiscard]] MoveResult solve_move(const Scene& scene, const body::Body& body, const Move& move,
                                    const SolveOptions& options, posture::StanceWorkspace& workspace,
                                    grip::CapacityCache& hands);

/// All moves in order. Deterministic for options.stance.seed.
[[nodiscard]] std::vector<MoveResult> solve_moves(const Scene& scene, const body::Body& body,
                                                  const SolveOptions& options);

}  // namespace steepwright::move
