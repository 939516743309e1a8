#include "engine/move/risk_frame.h"

#include <algorithm>
#include <utility>

namespace steepwright::move {

/// Forces in W as those in the contacts' tilted axes.
RiskFrame::Forces RiskFrame::turn_back(const World& world, const Forces& forces) const {
  Forces u = forces;
  for (std::size_t c = 0; c < contacts_.size(); ++c) {
    const statics::Contact& contact = nominal_.contacts[c];
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p)
      u.segment<3>(3 * p) = world.R[c].transpose() * forces.segment<3>(3 * p);
  }
  return u;
}

/// Keeps the solution of a world that nothing at hand could answer.
void RiskFrame::learn(const World& world, const statics::Effort& exact) {
  if (exact.status == statics::Status::kInfeasible) return add_motion(world, exact);
  if (exact.status != statics::Status::kSolved || learned_.size() == kMostStarts) return;
  Start start;
  start.mu = world.mu;
  start.base.u = turn_back(world, exact.forces);
  complete(exact, start);
  learned_.push_back(std::move(start));
}

/// The multipliers of a start bound the effort from below, to first order: those whose bound is high enough are
/// corrected to a proof. `effort` becomes the bound.
bool RiskFrame::fails_as_learned(const World& world, double& effort) const {
  return std::any_of(learned_.begin(), learned_.end(), [&](const Start& start) {
    const double bound = estimate_effort(world, start);
    if (bound < kRiskDoubtful || !prove_failure(world, start)) return false;
    effort = std::max(bound, std::isfinite(effort) ? effort : 0.0);
    return true;
  });
}

void RiskFrame::add_motion(const World& world, const statics::Effort& infeasible) {
  if (motions_.size() == kMostMotions) return;
  Wrench motion;
  motion << infeasible.force_dual, infeasible.moment_dual;
  motion *= 1.0 / std::max(1e-300, motion.cwiseAbs().maxCoeff());
  // The program states the motion up to its sense: the one that the weight drives is meant.
  if (find_imbalance(world, motion) < find_imbalance(world, -motion)) motion = -motion;
  if (find_imbalance(world, motion) <= 0.0) return;
  Motion learned{motion, {}};
  find_felt(world, motion, learned.felt);
  motions_.push_back(std::move(learned));
}

}  // namespace steepwright::move
