#include "engine/posture/loads.h"

#include "engine/core/constants.h"

namespace steepwright::posture {

double find_no_limit_torque(const body::Body& body) {
  constexpr double kWeightsTimesScale = 1.4e3;
  return kWeightsTimesScale * body.tree.mass_kg * kGravity * body.scale;
}

namespace {

/// Writes -J_hinges(p)^T into the three columns of one contact point.
void add_point_columns(const body::Tree& tree, const body::Kinematics& kinematics, int segment, const Vec3& p_WC,
                       int column, statics::TorqueMap& map) {
  for (int s = segment; s > 0; s = tree.segments[static_cast<std::size_t>(s)].parent) {
    const body::Segment& node = tree.segments[static_cast<std::size_t>(s)];
    const Vec3 arm = p_WC - kinematics.p_WB[static_cast<std::size_t>(s)];
    for (int h = node.first_hinge; h < node.first_hinge + node.n_hinges; ++h) {
      const Vec3 column_W = arm.cross(kinematics.axis_W[static_cast<std::size_t>(h)]);  // -(axis x arm)
      for (int k = 0; k < 3; ++k) map(h, column + k) = column_W[k];
    }
  }
}

/// The flexion side of a wrist gets a row of its own: tau - arm n . f <= limit.
void add_wrist_row(const LimbGoal& goal, const statics::Contact& contact, const body::Body& body,
                   statics::StaticsProblem& statics) {
  const std::size_t side = is_left(goal.limb) ? 0 : 1;
  const int hinge = body.wrist_hinges[side][0];
  const int row = statics.n_torque_rows++;
  statics.torque_offset[row] = statics.torque_offset[hinge];
  statics.torque_map.row(row).head(statics.n_force()) = statics.torque_map.row(hinge).head(statics.n_force());
  for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
    statics.torque_map.block<1, 3>(row, 3 * p) -= find_wrist_tendon_arm(body) * goal.capacity.normal.transpose();
  }
  statics.active_upper[row] = statics.active_upper[hinge];
  statics.passive_upper[row] = statics.passive_upper[hinge];
  statics.active_lower[row] = find_no_limit_torque(body);
  statics.passive_lower[row] = 0.0;
  statics.active_upper[hinge] = find_no_limit_torque(body);
  statics.passive_upper[hinge] = 0.0;
}

}  // namespace

void make_statics_problem(const StanceProblem& problem, const body::Posture& posture,
                          const body::Kinematics& kinematics, PointModel point_model, body::TorqueLimits& limits,
                          statics::StaticsProblem& statics) {
  const body::Body& body = *problem.body;
  const int n_hinges = body.tree.n_hinges();
  statics.weight_N = body.tree.mass_kg * kGravity;
  statics.length_m = body.scale;
  statics.p_Wcm = kinematics.p_Wcm;
  statics.contacts.clear();
  statics.points.clear();
  for (const LimbGoal& goal : problem.limbs) {
    if (!goal.is_loaded) continue;
    statics::Contact contact;
    contact.capacity = goal.capacity;
    contact.scale_N = goal.scale_N;
    contact.first_point = statics.n_points();
    if (point_model == PointModel::kMiddle) {
      statics.points.push_back(goal.p_WC);
    } else {
      for (const Vec3& p_WC : goal.points) statics.points.push_back(p_WC);
    }
    contact.n_points = statics.n_points() - contact.first_point;
    statics.contacts.push_back(contact);
  }

  body::DofVector gravity;
  body::calc_gravity_torques(body.tree, kinematics, gravity);
  body::calc_torque_limits(body, posture.angles, limits);
  const int n_rows_max = n_hinges + 2;
  statics.torque_offset.resize(n_rows_max);
  statics.torque_map.setZero(n_rows_max, statics.n_force());
  for (auto* limit : {&statics.active_lower, &statics.active_upper, &statics.passive_lower, &statics.passive_upper}) {
    limit->resize(n_rows_max);
  }
  statics.torque_offset.head(n_hinges) = gravity.tail(n_hinges);
  for (int h = 0; h < n_hinges; ++h) {
    const body::TorqueLimit& limit = limits[static_cast<std::size_t>(h)];
    statics.active_lower[h] = limit.active_lower;
    statics.active_upper[h] = limit.active_upper;
    statics.passive_lower[h] = limit.passive_lower;
    statics.passive_upper[h] = limit.passive_upper;
  }
  statics.n_torque_rows = n_hinges;
  std::size_t c = 0;
  for (const LimbGoal& goal : problem.limbs) {
    if (!goal.is_loaded) continue;
    const statics::Contact& contact = statics.contacts[c++];
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
      add_point_columns(body.tree, kinematics, goal.segment, statics.points[static_cast<std::size_t>(p)], 3 * p,
                        statics.torque_map);
    }
  }
  c = 0;
  for (const LimbGoal& goal : problem.limbs) {
    if (!goal.is_loaded) continue;
    const statics::Contact& contact = statics.contacts[c++];
    if (is_hand(goal.limb)) add_wrist_row(goal, contact, body, statics);
  }
}

TorqueRow find_torque_row(const StanceProblem& problem, int row) {
  const int n_hinges = problem.body->tree.n_hinges();
  if (row < n_hinges) return {row, false};
  int extra = n_hinges;
  for (const LimbGoal& goal : problem.limbs) {
    if (!goal.is_loaded || !is_hand(goal.limb)) continue;
    if (extra++ == row) return {problem.body->wrist_hinges[is_left(goal.limb) ? 0 : 1][0], true};
  }
  return {0, false};
}

void calc_envelope_gradient(const StanceProblem& problem, const body::Kinematics& kinematics,
                            const statics::StaticsProblem& statics, const statics::ForceVector& forces,
                            const statics::TorqueVector& torque_dual, const Vec3& moment_dual,
                            body::DofVector& gradient) {
  const body::Tree& tree = problem.body->tree;
  std::array<body::AppliedForce, statics::kMaxPoints> applied;
  int n_applied = 0;
  Vec3 sum = Vec3::Zero();
  std::size_t c = 0;
  for (const LimbGoal& goal : problem.limbs) {
    if (!goal.is_loaded) continue;
    const statics::Contact& contact = statics.contacts[c++];
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
      const Vec3 f_C_W = forces.segment<3>(3 * p);
      applied[static_cast<std::size_t>(n_applied++)] = {goal.segment, statics.points[static_cast<std::size_t>(p)],
                                                        f_C_W};
      sum += f_C_W;
    }
  }
  body::DofVector y = body::DofVector::Zero(tree.n_dof());
  for (int row = 0; row < statics.n_torque_rows; ++row) {
    y[6 + find_torque_row(problem, row).hinge] += torque_dual[row];
  }
  body::calc_torque_gradient(tree, kinematics, y, applied.data(), n_applied, gradient);
  // d/dq of moment_dual . sum (p - c) x f = -moment_dual . (dc x sum f) = -dc . (sum f x moment_dual)
  body::Jacobian3 J_cm;
  body::calc_com_jacobian(tree, kinematics, J_cm);
  gradient -= J_cm.transpose() * sum.cross(moment_dual);
}

}  // namespace steepwright::posture
