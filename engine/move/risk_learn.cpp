#include "engine/move/risk_frame.h"

#include <algorithm>
#include <utility>

namespace steepwright::move {

namespace {

/// Starts whose forces are repaired for a world: that takes as long as many proofs.
constexpr std::size_t kMostChecked = 1;

}  // namespace

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
  if (exact.status != statics::Status::kSolved || learned_.size() == kMostLearned) return;
  Start start;
  start.mu = world.mu;
  start.base.u = turn_back(world, exact.forces);
  complete(exact, start);
  learned_.push_back(std::move(start));
}

/// The multipliers of a start bound the effort from below, to first order: the highest bound is the truest, and the
/// forces of its start come nearest.
RiskFrame::Verdict RiskFrame::find_learned_verdict(const World& world, double& effort) const {
  struct Trial {
    double effort = 0.0;
    const Start* start = nullptr;
  };
  BoundedVector<Trial, kMostLearned + 1> trials;
  if (!starts_.empty()) trials.push_back({effort, &starts_.back()});
  for (const Start& start : learned_) trials.push_back({estimate_effort(world, start), &start});
  std::sort(trials.begin(), trials.end(), [](const Trial& a, const Trial& b) { return a.effort > b.effort; });
  const bool is_hopeful = trials.empty() || trials[0].effort <= 1.0;
  for (const bool holds : {is_hopeful, !is_hopeful}) {
    for (std::size_t i = 0; i < trials.size(); ++i) {
      if (holds ? i == kMostChecked : trials[i].effort < kRiskDoubtful) break;
      if (!(holds ? check_start(world, *trials[i].start) : prove_failure(world, *trials[i].start))) continue;
      effort = trials[i].effort;
      return holds ? Verdict::kHeld : Verdict::kFails;
    }
  }
  return Verdict::kUnknown;
}

void RiskFrame::add_motion(const World& world, const statics::Effort& infeasible) {
  if (motions_.size() == kMostLearned) return;
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
