#include "engine/move/problem.h"

#include "engine/move/goals.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::move {

namespace {

bool is_same_place(const LimbPlace& a, const LimbPlace& b) {
  if (a.hold != b.hold || a.grip != b.grip) return false;
  return a.hold >= 0 ? a.site == b.site : a.strip == b.strip && a.across_m == b.across_m && a.up_m == b.up_m;
}

/// The stance that the move is meant to end in.
Stance find_wanted_stance(const Move& move) {
  Stance stance = move.before;
  stance.limbs[index_of(move.moving)] = move.target;
  return stance;
}

double find_hardness(const MoveResult& result) {
  const bool is_met = result.cause != Cause::kReach && result.cause != Cause::kClearance;
  return is_met ? result.effort_peak : std::numeric_limits<double>::infinity();
}

}  // namespace

bool is_same_stance(const Stance& a, const Stance& b) {
  return std::all_of(kLimbs.begin(), kLimbs.end(), [&](Limb limb) {
    const std::optional<LimbPlace>& in_a = a.limbs[index_of(limb)];
    const std::optional<LimbPlace>& in_b = b.limbs[index_of(limb)];
    return in_a.has_value() == in_b.has_value() && (!in_a || is_same_place(*in_a, *in_b));
  });
}

Stance find_settled_stance(const Move& move, const MoveResult& result) {
  Stance stance = find_wanted_stance(move);
  if (result.frames.empty()) return stance;
  const Frame& last = result.frames.back();
  if (!last.has_posture) return stance;
  for (const Limb limb : kLimbs) {
    const bool is_there = std::any_of(last.contacts.begin(), last.contacts.end(),
                                      [limb](const ContactResult& contact) { return contact.limb == limb; });
    if (!is_there) stance.limbs[index_of(limb)].reset();
  }
  return stance;
}

ProblemResult solve_problem(const Scene& scene, const body::Body& body, const SolveOptions& options) {
  ProblemResult problem;
  posture::StanceWorkspace workspace(body);
  grip::CapacityCache hands(make_climber_hand(scene.climber, body));
  const int total = static_cast<int>(scene.moves.size());
  for (int i = 0; i < total; ++i) {
    if (options.on_progress && !options.on_progress(i, total)) break;
    Move move = scene.moves[static_cast<std::size_t>(i)];
    ProblemMove step;
    if (i > 0) {
      step.follows = is_same_stance(move.before, find_wanted_stance(scene.moves[static_cast<std::size_t>(i - 1)]));
      if (step.follows) move.before = problem.moves.back().settled;
    }
    step.result = solve_move(scene, body, move, options, workspace, hands);
    step.settled = find_settled_stance(move, step.result);
    problem.moves.push_back(std::move(step));
  }
  for (std::size_t i = 0; i < problem.moves.size(); ++i) {
    if (problem.crux && find_hardness(problem.moves[i].result) <= find_hardness(problem.moves[*problem.crux].result))
      continue;
    problem.crux = i;
  }
  problem.holds = !problem.moves.empty() &&
                  std::all_of(problem.moves.begin(), problem.moves.end(),
                              [](const ProblemMove& step) { return step.result.verdict == Verdict::kStatic; });
  return problem;
}

}  // namespace steepwright::move
