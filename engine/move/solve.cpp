#include "engine/move/solve.h"

#include "engine/move/goals.h"
#include "engine/move/trace.h"

namespace steepwright::move {

MoveResult solve_move(const Scene& scene, const body::Body& body, const Move& move, const SolveOptions& options,
                      posture::StanceWorkspace& workspace, grip::CapacityCache& hands) {
  try {
    return trace_move(move, InstantSolver(scene, body, move, options, workspace, hands));
  } catch (const InstantSolver::Cancelled&) {
    MoveResult nothing;
    nothing.name = move.name;
    return nothing;
  }
}

std::vector<MoveResult> solve_moves(const Scene& scene, const body::Body& body, const SolveOptions& options) {
  std::vector<MoveResult> results;
  posture::StanceWorkspace workspace(body);
  grip::CapacityCache hands(make_climber_hand(scene.climber, body));
  const int total = static_cast<int>(scene.moves.size());
  for (int i = 0; i < total; ++i) {
    if (options.on_progress && !options.on_progress(i, total)) break;
    results.push_back(solve_move(scene, body, scene.moves[static_cast<std::size_t>(i)], options, workspace, hands));
  }
  return results;
}

}  // namespace steepwright::move
