#include "engine/move/risk_frame.h"

#include <algorithm>

namespace steepwright::move {

/// With the near torque rows alone, and again with those that its forces break: they count as near from then on. What
/// the few rows forbid all rows do.
statics::Effort RiskFrame::solve_near(const World& world, RiskWorkspace& workspace) {
  for (;;) {
    statics::Effort near = solve(world, /*takes_all_rows=*/false, workspace);
    if (near.status != statics::Status::kSolved || near.rho > 1.0 + kRiskProof) return near;
    const std::size_t n_rows = near_rows_.size();
    const Forces u = turn_back(world, near.forces);
    Extended v;
    extend(world, u, v);
    for (int row = 0; row < nominal_.n_torque_rows; ++row) {
      if (is_torque_met(world, row, find_torque(row, u, v))) continue;
      if (std::find(near_rows_.begin(), near_rows_.end(), row) == near_rows_.end()) near_rows_.push_back(row);
    }
    if (near_rows_.size() == n_rows) return near;
  }
}

statics::Effort RiskFrame::solve(const World& world, bool takes_all_rows, RiskWorkspace& workspace) const {
  load_world(world, takes_all_rows, workspace.problem);
  statics::Effort effort = statics::solve_effort(workspace.problem, workspace.effort);
  if (takes_all_rows) return effort;
  for (statics::LimitShare& limit : effort.limits) {
    if (limit.kind != statics::LimitShare::Kind::kCapacityBound)
      limit.index = near_rows_[static_cast<std::size_t>(limit.index)];
  }
  return effort;
}

void RiskFrame::load_world(const World& world, bool takes_all_rows, statics::StaticsProblem& problem) const {
  problem.weight_N = world.target.z();
  problem.p_Wcm = nominal_.p_Wcm;
  // The centre of mass where the parts' own masses put it; its height does not matter to the balance.
  problem.p_Wcm.x() -= world.target[4] / problem.weight_N;
  problem.p_Wcm.y() += world.target[3] / problem.weight_N;
  problem.contacts = nominal_.contacts;
  problem.points = nominal_.points;
  for (std::size_t c = 0; c < contacts_.size(); ++c) {
    statics::Contact& contact = problem.contacts[c];
    contact.capacity = contact.capacity.rotated(world.R[c]);
    contact.capacity.mu = world.mu[c];
    for (HalfSpace& bound : contact.capacity.bounds) bound.b_N *= world.strength[c];
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p)
      problem.points[static_cast<std::size_t>(p)] += world.shift_W[c];
  }
  load_world_rows(world, takes_all_rows, problem);
}

void RiskFrame::load_world_rows(const World& world, bool takes_all_rows, statics::StaticsProblem& problem) const {
  const int n = problem.n_force();
  const int n_rows = takes_all_rows ? nominal_.n_torque_rows : static_cast<int>(near_rows_.size());
  problem.n_torque_rows = n_rows;
  problem.torque_map.resize(n_rows, n);
  problem.torque_offset.resize(n_rows);
  for (auto* limit : {&problem.active_lower, &problem.active_upper, &problem.passive_lower, &problem.passive_upper})
    limit->resize(n_rows);
  for (int i = 0; i < n_rows; ++i) {
    const int row = takes_all_rows ? i : near_rows_[static_cast<std::size_t>(i)];
    problem.active_lower[i] = world.joints * nominal_.active_lower[row];
    problem.active_upper[i] = world.joints * nominal_.active_upper[row];
    problem.passive_lower[i] = nominal_.passive_lower[row];
    problem.passive_upper[i] = nominal_.passive_upper[row];
    problem.torque_offset[i] = nominal_.torque_offset[row];
    for (int part = 0; part < kBuildParts; ++part)
      problem.torque_offset[i] += world.mass_share[static_cast<std::size_t>(part)] *
                                  torque_rows_(row, torque_rows_.cols() - kBuildParts + part);
    for (std::size_t c = 0; c < contacts_.size(); ++c) {
      const statics::Contact& contact = problem.contacts[c];
      const Vec3 moment_row = torque_rows_.block<1, 3>(row, n + 3 * static_cast<int>(c)).transpose();
      Vec3 added = moment_row.cross(world.shift_W[c]);
      if (wrist_rows_[c] == row) added -= tendon_arm_m_ * contact.capacity.normal;
      for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p)
        problem.torque_map.block<1, 3>(i, 3 * p) = torque_rows_.block<1, 3>(row, 3 * p) + added.transpose();
    }
  }
}

}  // namespace steepwright::move
