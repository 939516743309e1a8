#include "engine/posture/balance.h"

#include "engine/posture/loads.h"
#include "engine/posture/stance.h"

#include <algorithm>

namespace steepwright::posture {

namespace {

/// A torque row that no muscle moves takes part in the proof, and its row hangs on the posture.
bool has_fixed_row(const statics::StaticsProblem& statics) {
  for (int row = 0; row < statics.n_torque_rows; ++row) {
    if (statics.active_lower[row] <= 0.0 || statics.active_upper[row] <= 0.0) return true;
  }
  return false;
}

}  // namespace

int count_loaded(const StanceProblem& problem) {
  return static_cast<int>(
      std::count_if(problem.limbs.begin(), problem.limbs.end(), [](const LimbGoal& goal) { return goal.is_loaded; }));
}

bool add_balance_cut(const statics::StaticsProblem& statics, const statics::Effort& effort, BalanceRegion& region) {
  if (effort.status != statics::Status::kInfeasible || has_fixed_row(statics)) return false;
  // Under the motion t + w x (p - c) of the proof every force of a contact works against it or not at all, so the
  // weight, at the centre of mass c + d, must not drive it: t_z + w . (d x z) = t_z + (z x w) . d >= 0.
  const Vec3 slope_W = Vec3::UnitZ().cross(effort.moment_dual);
  const double length = slope_W.norm();
  // More than 10 m (times Body::scale) away is no place for a centre of mass.
  const double farthest_m = 10.0 * statics.length_m;
  if (effort.force_dual.z() >= 0.0 || farthest_m * length < -effort.force_dual.z()) return false;
  BalanceCut cut;
  cut.normal_W = slope_W / length;
  cut.least_m = cut.normal_W.dot(statics.p_Wcm) - effort.force_dual.z() / length;
  if (region.cuts.full()) {
    std::rotate(region.cuts.begin(), region.cuts.begin() + 1, region.cuts.end());
    region.cuts.back() = cut;
  } else {
    region.cuts.push_back(cut);
  }
  return true;
}

bool enter_balance(const StanceProblem& problem, const ContactParams& contacts, BalanceRegion& region,
                   body::Posture& posture, StanceWorkspace& ws) {
  constexpr int kMostProofs = 8;
  ContactParams params = contacts;
  params.rows.balance = &region;
  for (int i = 0; i < kMostProofs; ++i) {
    if (solve_contacts(problem, params, posture, ws.search.posture).status != ContactStatus::kMet) return false;
    make_statics_problem(problem, posture, ws.search.posture.kinematics, PointModel::kAll, ws.limits, ws.statics);
    const statics::Effort effort = statics::solve_effort(ws.statics, ws.effort);
    if (effort.status != statics::Status::kInfeasible) return true;
    if (!add_balance_cut(ws.statics, effort, region)) return false;
  }
  return false;
}

}  // namespace steepwright::posture
