#include "engine/move/cut_loose.h"

#include "engine/move/goals.h"

namespace steepwright::move {

std::optional<CutLoose> find_cut_loose(const Scene& scene, const body::Body& body, const Move& move,
                                       const MoveResult& result, const SolveOptions& options) {
  if (result.cause != Cause::kReach || options.may_cut_to_reach) return std::nullopt;
  posture::StanceWorkspace workspace(body);
  grip::CapacityCache hands(make_climber_hand(scene.climber, body));
  SolveOptions cutting = options;
  cutting.may_cut_to_reach = true;
  const MoveResult cut = solve_move(scene, body, move, cutting, workspace, hands);
  if (cut.verdict != Verdict::kStatic) return std::nullopt;
  CutLoose found{{}, cut.effort_peak};
  for (const Frame& frame : cut.frames)
    found.feet.insert(found.feet.end(), frame.cut_loose.begin(), frame.cut_loose.end());
  return found;
}

}  // namespace steepwright::move
