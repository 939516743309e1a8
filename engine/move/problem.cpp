#include "engine/move/problem.h"

#include "engine/move/goals.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::move {

namespace {

double find_hardness(const MoveResult& result) {
  const bool is_met = are_contacts_met(result.cause);
  return is_met ? result.effort_peak : std::numeric_limits<double>::infinity();
}

}  // namespace

Stance find_settled_stance(const Move& move, const MoveResult& result) {
  Stance stance = find_settled(move);
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
      step.follows = move.before == find_settled(scene.moves[static_cast<std::size_t>(i - 1)]);
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
