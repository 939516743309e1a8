#include "engine/move/cut_loose.h"

#include "engine/move/goals.h"

namespace steepwright::move {

std::optional<CutLoose> find_cut_loose(const Scene& scene, const body::Body& body, const Move& move,
                                       const MoveResult& result, const SolveOptions& options) {
  if (result.cause != Cause::kReach || options.may_cut_to_reach) return std::nullopt;
  posture::StanceWorkspace workspace(body);
  grip::CapacityCache hands(make_climber_hand(scene.climber, body));
  const auto solve = [&](const Move& changed, bool may_cut) {
    SolveOptions cutting = options;
    cutting.may_cut_to_reach = may_cut;
    return solve_move(scene, body, changed, cutting, workspace, hands);
  };
  const MoveResult cut = solve(move, true);
  if (cut.verdict == Verdict::kStatic) {
    CutLoose found{{}, false, cut.effort_peak};
    for (const Frame& frame : cut.frames)
      found.feet.insert(found.feet.end(), frame.cut_loose.begin(), frame.cut_loose.end());
    return found;
  }
  std::optional<CutLoose> best;
  for (const Limb foot : {Limb::kLeftFoot, Limb::kRightFoot}) {
    if (foot == move.moving || !move.before.limbs[index_of(foot)]) continue;
    Move without = move;
    without.before.limbs[index_of(foot)].reset();
    const MoveResult hanging = solve(without, false);
    if (hanging.verdict != Verdict::kStatic || (best && hanging.effort_peak >= best->effort_peak)) continue;
    best = CutLoose{{foot}, true, hanging.effort_peak};
  }
  return best;
}

}  // namespace steepwright::move
