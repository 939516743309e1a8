#include "engine/move/risk_frame.h"

#include "engine/body/kinematics.h"
#include "engine/core/constants.h"

#include <Eigen/QR>

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>

namespace steepwright::move {

namespace {

/// Friction of the start, as a share of what there is: its forces keep off the cones, so that they stay inside when a
/// world turns the cones a little. The first is tried first and serves most; the last is nearly the best there is.
constexpr std::array<double, 2> kStartFriction = {0.9, 0.995};
constexpr double kLeastShare = 1e-3;   ///< a limit with less of the effort's certificate does not bind
constexpr double kUntouched_N = 1e-3;  ///< a point with less carries nothing
constexpr double kOnCone = 5e-3;       ///< a force this near its cone, as a share of it, is on it
constexpr double kRank = 1e-6;         ///< of the rows that bind, relative
constexpr double kNearRow = 0.5;       ///< share of its limit that a torque row uses to be near it
constexpr double kMomentArm_m = 1.0;   ///< makes moments comparable with forces

posture::StanceProblem make_problem(const body::Body& body, const Frame& frame) {
  posture::StanceProblem problem;
  problem.body = &body;
  for (const ContactResult& contact : frame.contacts) {
    posture::LimbGoal goal;
    goal.limb = contact.limb;
    goal.segment = body.station(contact.limb, contact.grip.value_or(Grip::kOpenHand)).segment;
    goal.p_WC = contact.p_WC;
    goal.is_loaded = contact.is_loaded;
    goal.capacity = contact.capacity;
    for (const ContactResult::Point& point : contact.points) goal.points.push_back(point.p_WC);
    problem.limbs.push_back(goal);
  }
  return problem;
}

/// "right elbow flexion": "right elbow strength"; "lumbar side-bend": "lumbar strength".
std::string describe_joint(const std::string& hinge) {
  const bool has_side = hinge.rfind("left ", 0) == 0 || hinge.rfind("right ", 0) == 0;
  const std::size_t first = hinge.find(' ');
  const std::size_t end = has_side ? hinge.find(' ', first + 1) : first;
  return hinge.substr(0, end) + " strength";
}

bool is_in_chain(const body::Tree& tree, int segment, int ancestor) {
  for (int s = segment; s > 0; s = tree.segments[static_cast<std::size_t>(s)].parent) {
    if (s == ancestor) return true;
  }
  return false;
}

}  // namespace

RiskFrame::RiskFrame(const body::Body& body, const Frame& frame, const std::vector<int>& places,
                     RiskWorkspace& workspace) {
  tendon_arm_m_ = posture::find_wrist_tendon_arm(body);
  const posture::StanceProblem problem = make_problem(body, frame);
  body::Kinematics kinematics;
  body::update_kinematics(body.tree, frame.posture, kinematics);
  body::TorqueLimits limits;
  posture::make_statics_problem(problem, frame.posture, kinematics, posture::PointModel::kAll, limits, nominal_);
  for (std::size_t i = 0; i < frame.contacts.size(); ++i) {
    const ContactResult& contact = frame.contacts[i];
    if (!contact.is_loaded) continue;
    const Tangents tangents = find_tangents(contact.capacity.normal);
    contacts_.push_back({contact.limb, places[i], tangents.t1, tangents.t2, contact.lip_W});
    is_loaded_[index_of(contact.limb)] = true;
  }
  for (std::size_t c = 0; c < nominal_.contacts.size(); ++c) {
    const statics::Contact& contact = nominal_.contacts[c];
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p)
      contact_of_[static_cast<std::size_t>(p)] = static_cast<int>(c);
  }
  load_torques(body, problem, kinematics);
  load_masses(body, kinematics);
  load_distribution(frame);
  load_names(body, frame, problem);
  for (const double friction : kStartFriction) load_start(friction, workspace);
  if (!starts_.empty()) load_interior(workspace);
  load_near_rows();
  if (!starts_.empty()) return;
  const statics::Effort effort = statics::solve_effort(nominal_, workspace.effort);
  if (effort.status == statics::Status::kInfeasible) add_motion(make_world(RiskDraw{}, /*is_nominal=*/true), effort);
}

void RiskFrame::load_torques(const body::Body& body, const posture::StanceProblem& problem,
                             const body::Kinematics& kinematics) {
  const int n = nominal_.n_force();
  const int n_hinges = body.tree.n_hinges();
  const int n_contacts = static_cast<int>(contacts_.size());
  torque_rows_.setZero(nominal_.n_torque_rows, n + 3 * n_contacts + kBuildParts);
  torque_rows_.leftCols(n) = nominal_.torque_map.topLeftCorner(nominal_.n_torque_rows, n);
  wrist_rows_.fill(-1);
  int c = 0;
  int wrist_row = n_hinges;
  for (const posture::LimbGoal& goal : problem.limbs) {
    if (!goal.is_loaded) continue;
    for (int h = 0; h < n_hinges; ++h) {
      if (!is_in_chain(body.tree, goal.segment, body.tree.hinges[static_cast<std::size_t>(h)].segment)) continue;
      torque_rows_.block<1, 3>(h, n + 3 * c) = -kinematics.axis_W[static_cast<std::size_t>(h)].transpose();
    }
    if (is_hand(goal.limb)) {
      const int hinge = posture::find_torque_row(problem, wrist_row).hinge;
      torque_rows_.row(wrist_row) = torque_rows_.row(hinge);
      wrist_rows_[static_cast<std::size_t>(c)] = wrist_row++;
    }
    ++c;
  }
  // A later limb's chain may cross the hinge of an earlier wrist only at the trunk: the wrist's own row is complete.
}

void RiskFrame::load_masses(const body::Body& body, const body::Kinematics& kinematics) {
  const int n = nominal_.n_force();
  const int first = n + 3 * static_cast<int>(contacts_.size());
  mass_wrench_.setZero();
  for (int s = 0; s < body.tree.n_segments(); ++s) {
    const body::Segment& segment = body.tree.segments[static_cast<std::size_t>(s)];
    const int part = static_cast<int>(find_build_part(body, s));
    const Vec3 p_Wcm = body::find_position(kinematics, s, segment.p_Bcm);
    const Vec3 weight_W(0.0, 0.0, segment.mass_kg * kGravity);
    mass_wrench_.col(part).head<3>() += weight_W;
    mass_wrench_.col(part).tail<3>() += (p_Wcm - nominal_.p_Wcm).cross(weight_W);
    for (int h = 0; h < body.tree.n_hinges(); ++h) {
      const int moved = body.tree.hinges[static_cast<std::size_t>(h)].segment;
      if (!is_in_chain(body.tree, s, moved)) continue;
      const Vec3 arm = p_Wcm - kinematics.p_WB[static_cast<std::size_t>(moved)];
      torque_rows_(h, first + part) += kinematics.axis_W[static_cast<std::size_t>(h)].dot(arm.cross(weight_W));
    }
  }
  for (const int row : wrist_rows_) {
    if (row < 0) continue;
    const Eigen::Index hinge = wrist_hinge_of(body, row);
    torque_rows_.block(row, first, 1, kBuildParts) = torque_rows_.block(hinge, first, 1, kBuildParts);
  }
  force_norms_ = torque_rows_.leftCols(n).rowwise().norm();
  moment_norms_ = torque_rows_.middleCols(n, first - n).rowwise().norm();
  mass_norms_ = torque_rows_.rightCols(kBuildParts).rowwise().norm();
}

Eigen::Index RiskFrame::wrist_hinge_of(const body::Body& body, int row) const {
  for (std::size_t c = 0; c < contacts_.size(); ++c) {
    if (wrist_rows_[c] == row) return body.wrist_hinges[is_left(contacts_[c].limb) ? 0 : 1][0];
  }
  return 0;
}

void RiskFrame::load_names(const body::Body& body, const Frame& frame, const posture::StanceProblem& problem) {
  nominal_limit_ = {frame.limit, frame.limit_limb};
  for (const ContactData& contact : contacts_)
    contact_names_.push_back(
        {std::string(long_name(contact.limb)) + (is_hand(contact.limb) ? " grip" : " foothold"), contact.limb});
  for (int row = 0; row < nominal_.n_torque_rows; ++row) {
    const body::Hinge& hinge = body.tree.hinges[static_cast<std::size_t>(posture::find_torque_row(problem, row).hinge)];
    Limit limit{describe_joint(hinge.name), std::nullopt};
    for (const Limb limb : kLimbs) {
      const int end = body.station(limb, Grip::kOpenHand).segment;
      const BuildPart part = find_build_part(body, hinge.segment);
      if (part != BuildPart::kTrunk && is_in_chain(body.tree, end, hinge.segment)) limit.limb = limb;
    }
    torque_names_.push_back(std::move(limit));
  }
}

/// The least effort with a little less friction; nothing is added where that has no solution.
void RiskFrame::load_start(double friction, RiskWorkspace& workspace) {
  statics::StaticsProblem& problem = workspace.problem;
  problem = nominal_;
  for (statics::Contact& contact : problem.contacts) contact.capacity.mu *= friction;
  const statics::Effort effort = statics::solve_effort(problem, workspace.effort);
  if (effort.status != statics::Status::kSolved) return;
  Start start;
  start.friction = friction;
  for (std::size_t c = 0; c < problem.contacts.size(); ++c) start.mu[c] = problem.contacts[c].capacity.mu;
  start.base.u = effort.forces;
  complete(effort, start);
  load_base(start.base);
  starts_.push_back(std::move(start));
}

/// What binds and what follows, from the forces and their mu.
void RiskFrame::complete(const statics::Effort& effort, Start& start) const {
  start.effort = effort.rho;
  for (int p = 0; p < nominal_.n_points(); ++p)
    start.is_touching[static_cast<std::size_t>(p)] = start.base.u.segment<3>(3 * p).norm() > kUntouched_N;
  find_binding(effort, start);
  factorise(start);
}

void RiskFrame::find_binding(const statics::Effort& effort, Start& start) const {
  using Kind = BindingRow::Kind;
  for (const statics::LimitShare& share : effort.limits) {
    if (share.share < kLeastShare || start.rows.size() + 6 >= kMaxRows) continue;
    BindingRow row;
    row.index = share.index;
    row.bound = share.bound;
    if (share.kind == statics::LimitShare::Kind::kCapacityBound) {
      row.kind = Kind::kBound;
      row.scale = nominal_.contacts[static_cast<std::size_t>(share.index)]
                      .capacity.bounds[static_cast<std::size_t>(share.bound)]
                      .b_N;
    } else {
      const bool is_upper = share.kind == statics::LimitShare::Kind::kTorqueUpper;
      row.kind = is_upper ? Kind::kUpper : Kind::kLower;
      row.scale = std::max(1.0, is_upper ? nominal_.active_upper[share.index] : nominal_.active_lower[share.index]);
    }
    start.rows.push_back(row);
  }
  for (int p = 0; p < nominal_.n_points(); ++p) {
    if (!start.is_touching[static_cast<std::size_t>(p)] || start.rows.size() + 6 >= kMaxRows) continue;
    const CapacitySet& set = capacity_of(p);
    const Vec3 u = start.base.u.segment<3>(3 * p);
    const double u_n = set.normal.dot(u);
    const Vec3 u_t = u - u_n * set.normal;
    if (u_t.norm() <
        (1.0 - kOnCone) * start.mu[static_cast<std::size_t>(contact_of_[static_cast<std::size_t>(p)])] * u_n)
      continue;
    BindingRow row;
    row.kind = Kind::kCone;
    row.index = p;
    row.a = u_t.normalized();
    row.scale = nominal_.weight_N;
    start.rows.push_back(row);
  }
}

/// Rows of the correction over (u, effort): equilibrium, then what binds; columns scaled by what the contacts carry.
void RiskFrame::factorise(Start& start) const {
  using Kind = BindingRow::Kind;
  const int n = nominal_.n_force();
  const auto n_rows = 6 + static_cast<Eigen::Index>(start.rows.size());
  Eigen::MatrixXd B = Eigen::MatrixXd::Zero(n_rows, n + 1);
  for (int p = 0; p < nominal_.n_points(); ++p) B.block<6, 3>(0, 3 * p) = find_point_balance(p);
  for (std::size_t i = 0; i < start.rows.size(); ++i) {
    const BindingRow& row = start.rows[i];
    const auto r = 6 + static_cast<Eigen::Index>(i);
    switch (row.kind) {
      case Kind::kBound: {
        const statics::Contact& contact = nominal_.contacts[static_cast<std::size_t>(row.index)];
        const Vec3& a = contact.capacity.bounds[static_cast<std::size_t>(row.bound)].a;
        for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p)
          B.block<1, 3>(r, 3 * p) = a.transpose() / row.scale;
        B(r, n) = -1.0;  // the scale is the bound
        break;
      }
      case Kind::kUpper:
      case Kind::kLower:
        B.row(r).head(n) =
            nominal_.torque_map.row(row.index).head(n) * (row.kind == Kind::kUpper ? 1.0 : -1.0) / row.scale;
        B(r, n) = -(row.kind == Kind::kUpper ? nominal_.active_upper : nominal_.active_lower)[row.index] / row.scale;
        break;
      case Kind::kCone: {
        const auto c = static_cast<std::size_t>(contact_of_[static_cast<std::size_t>(row.index)]);
        B.block<1, 3>(r, 3 * row.index) = (row.a - start.mu[c] * capacity_of(row.index).normal).transpose() / row.scale;
        break;
      }
    }
  }
  Eigen::VectorXd scale = Eigen::VectorXd::Ones(n + 1);
  for (int p = 0; p < nominal_.n_points(); ++p) {
    const bool is_touching = start.is_touching[static_cast<std::size_t>(p)];
    scale.segment<3>(3 * p).setConstant(is_touching ? start.base.u.segment<3>(3 * p).norm() : 0.0);
  }
  Eigen::CompleteOrthogonalDecomposition<Eigen::MatrixXd> factor;
  factor.setThreshold(kRank);
  factor.compute(B * scale.asDiagonal());
  start.inverse = scale.asDiagonal() * factor.pseudoInverse();
  start.multipliers = start.inverse.row(n).transpose();
}

void RiskFrame::load_distribution(const Frame& frame) {
  distribution_.setZero(nominal_.n_force());
  int p = 0;
  for (const ContactResult& contact : frame.contacts) {
    if (!contact.is_loaded) continue;
    for (const ContactResult::Point& point : contact.points) distribution_.segment<3>(3 * p++) = point.f_C_W;
  }
  Forces scale(nominal_.n_force());
  for (p = 0; p < nominal_.n_points(); ++p)
    scale.segment<3>(3 * p).setConstant(find_scale_N(contact_of_[static_cast<std::size_t>(p)]));
  balance_inverse_ = make_balance_inverse(scale);
}

/// Least change of the forces, each over its scale, that makes up a residual of balance.
RiskFrame::SixColumns RiskFrame::make_balance_inverse(const Forces& scale) const {
  Eigen::MatrixXd E(6, nominal_.n_force());
  for (int p = 0; p < nominal_.n_points(); ++p) E.middleCols<3>(3 * p) = find_point_balance(p);
  Eigen::CompleteOrthogonalDecomposition<Eigen::MatrixXd> factor;
  factor.setThreshold(kRank);
  factor.compute(E * scale.asDiagonal());
  return scale.asDiagonal() * factor.pseudoInverse();
}

void RiskFrame::load_base(Base& base) const {
  extend(make_world(RiskDraw{}, /*is_nominal=*/true), base.u, base.v);
  calc_torque_rows(base.u, base.v, base.torques);
}

/// Rows that come anywhere near their limit; the others are left out of the exact program, and checked after it.
void RiskFrame::load_near_rows() {
  for (int row = 0; row < nominal_.n_torque_rows; ++row) {
    double use = 0.0;
    const auto add = [&](const Base& base) {
      const double torque = base.torques[row];
      const double limit = torque > 0.0 ? nominal_.active_upper[row] + nominal_.passive_upper[row]
                                        : nominal_.active_lower[row] + nominal_.passive_lower[row];
      use = std::max(use, std::abs(torque) / std::max(limit, 1e-9));
    };
    for (const Start& start : starts_) add(start.base);
    if (starts_.empty() || use > kNearRow) near_rows_.push_back(row);
  }
}

double RiskFrame::find_scale_N(int contact) const {
  const CapacitySet& set = nominal_.contacts[static_cast<std::size_t>(contact)].capacity;
  return 1.0 / std::max(1e-4, find_capacity_use(set, set.normal));
}

Eigen::Matrix<double, 6, 3> RiskFrame::find_point_balance(int p) const {
  Eigen::Matrix<double, 6, 3> rows;
  rows.topRows<3>() = Mat3::Identity() / nominal_.weight_N;
  rows.bottomRows<3>() =
      skew(nominal_.points[static_cast<std::size_t>(p)] - nominal_.p_Wcm) / (nominal_.weight_N * kMomentArm_m);
  return rows;
}

}  // namespace steepwright::move
