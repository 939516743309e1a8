#pragma once

/// A whole problem: moves one after the other, each from where the last one ended.

#include "engine/move/result.h"
#include "engine/move/scene.h"
#include "engine/move/solve.h"

#include <optional>
#include <vector>

namespace steepwright::move {

struct ProblemMove {
  MoveResult result;
  Stance settled;        ///< who holds what at its end: a foot that has cut loose is not there
  bool follows = false;  ///< starts where the move before ended; else from a stance of its own
};

struct ProblemResult {
  std::vector<ProblemMove> moves;
  /// The hardest move: one that no effort makes possible before one of higher peak effort; the first of equals. Nothing
  /// without moves.
  std::optional<std::size_t> crux;
  bool holds = false;  ///< every move does
};

/// Who holds what once the move is done: its target taken, without the limbs that hang at the end.
[[nodiscard]] Stance find_settled_stance(const Move& move, const MoveResult& result);

/// The scene's moves in its order. A move whose stance before is the one that the last move was to end in starts from
/// what was left of it; any other move starts from its own. A move that does not hold is taken as done, so that what
/// comes after it is still answered.
[[nodiscard]] ProblemResult solve_problem(const Scene& scene, const body::Body& body, const SolveOptions& options);

}  // namespace steepwright::move
