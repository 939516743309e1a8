#include "engine/move/key_stance.h"

#include "engine/move/stretch.h"

#include <utility>

namespace steepwright::move {

/// From the stance of the trace that the caller knows.
void KeySolver::improve_as_told(Key& key) const {
  if (solver_.options().like == nullptr || !key.frame.has_posture) return;
  for (const Frame& frame : solver_.options().like->frames) {
    if (frame.phase == key.instant.phase && frame.has_posture) improve(frame.posture, key);
  }
}

void KeySolver::improve(const body::Posture& from, Key& key) const {
  if (key.frame.is_held && key.frame.effort <= kSpareEffort) return;
  SolvedInstant other = solver_.solve_key(key.instant, &from, key.solved.swings, InstantSolver::Starts::kWarmOnly);
  if (!other.answer.has_posture || (key.frame.is_held && !other.answer.is_held())) return;
  if (other.answer.effort.status != statics::Status::kSolved || other.answer.effort.rho >= key.frame.effort) return;
  key.solved = std::move(other);
  finish(key, &from, key.frame.t);
}

Key KeySolver::solve(Phase phase, const Stance& stance, double moving_share, const body::Posture* warm,
                     const ForearmSwings& swings, double t) const {
  Key key;
  key.instant.phase = phase;
  key.instant.stance = stance;
  key.instant.load_share[index_of(move_.moving)] = moving_share;
  key.solved = solver_.solve_key(key.instant, warm, swings);
  finish(key, warm, t);
  improve_as_told(key);
  return key;
}

void KeySolver::finish(Key& key, const body::Posture* warm, double t) const {
  const bool is_after = key.instant.phase == Phase::kTouch || key.instant.phase == Phase::kSettled;
  key.frame =
      solver_.make_frame(key.instant, key.solved, is_after ? std::optional<Limb>(move_.moving) : std::nullopt, warm);
  key.frame.t = t;
  if (key.instant.stance.limbs[index_of(move_.moving)]) key.frame.p_Wmoving = find_goal(key);
}

/// Contact point of the moving limb at its place.
std::optional<Vec3> KeySolver::find_goal(const Key& key) const {
  for (const posture::LimbGoal& goal : key.solved.problem.limbs) {
    if (goal.limb == move_.moving) return goal.p_WC;
  }
  return std::nullopt;
}

bool KeySolver::solve_from(const Key& other, Key& key) const {
  key.solved =
      solver_.solve_key(key.instant, &other.frame.posture, other.solved.swings, InstantSolver::Starts::kWarmOnly);
  if (!key.solved.answer.has_posture) return false;
  finish(key, &other.frame.posture, key.frame.t);
  return true;
}

bool KeySolver::is_lost(const Key& key) const {
  if (!solver_.options().verdict_only || key.frame.is_held) return false;
  return !key.frame.has_posture || !(key.frame.effort <= kHopelessEffort);
}

}  // namespace steepwright::move
