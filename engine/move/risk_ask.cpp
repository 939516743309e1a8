#include "engine/move/risk_frame.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::move {

namespace {

constexpr double kRounding = 1e-9;  ///< of body weights and shares of limits
constexpr double kBalance = 2e-4;   ///< of the weight (times 1 m): forces this near balance do balance
constexpr int kMostBalancing = 5;
constexpr int kMostRepairs = 3;
constexpr double kHopeless = 1.15;  ///< an effort to first order above this is hardly ever below 1

constexpr double kRepairInset = 0.01;
constexpr double kOverstep = 1.5;    ///< a move inside goes this many times as far as the border
constexpr double kConeInset = 1e-4;  ///< corrected forces aim this share inside their cones

constexpr double kInfinity = std::numeric_limits<double>::infinity();

}  // namespace

RiskFrame::World RiskFrame::make_world(const RiskDraw& draw, bool is_nominal) const {
  World world;
  world.joints = draw.joints;
  world.mass_share = draw.mass_share;
  for (std::size_t c = 0; c < contacts_.size(); ++c) {
    const ContactData& contact = contacts_[c];
    const bool is_of_hand = is_hand(contact.limb);
    world.mu[c] = nominal_.contacts[c].capacity.mu * (is_of_hand ? draw.skin : draw.rubber);
    world.strength[c] = is_of_hand ? draw.fingers : 1.0;
    world.R[c] = Mat3::Identity();
    world.shift_W[c] = Vec3::Zero();
    if (is_nominal) continue;
    const RiskDraw::Place& place = draw.places[static_cast<std::size_t>(contact.place)];
    world.R[c] = rotation_by(place.tilt[0] * contact.t1 + place.tilt[1] * contact.t2);
    world.shift_W[c] = place.shift_m[0] * contact.t1 + place.shift_m[1] * contact.t2;
  }
  world.target << 0.0, 0.0, nominal_.weight_N, 0.0, 0.0, 0.0;
  for (int part = 0; part < kBuildParts; ++part)
    world.target += draw.mass_share[static_cast<std::size_t>(part)] * mass_wrench_.col(part);
  return world;
}

const CapacitySet& RiskFrame::capacity_of(int point) const {
  return nominal_.contacts[static_cast<std::size_t>(contact_of_[static_cast<std::size_t>(point)])].capacity;
}

void RiskFrame::extend(const World& world, const Forces& u, Extended& v) const {
  const int n = nominal_.n_force();
  v.resize(torque_rows_.cols());
  for (std::size_t c = 0; c < contacts_.size(); ++c) {
    const statics::Contact& contact = nominal_.contacts[c];
    Vec3 sum = Vec3::Zero();
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
      const Vec3 f_C_W = world.R[c] * u.segment<3>(3 * p);
      v.segment<3>(3 * p) = f_C_W;
      sum += f_C_W;
    }
    v.segment<3>(n + 3 * static_cast<int>(c)) = world.shift_W[c].cross(sum);
  }
  for (int part = 0; part < kBuildParts; ++part)
    v[n + 3 * static_cast<int>(contacts_.size()) + part] = world.mass_share[static_cast<std::size_t>(part)];
}

double RiskFrame::find_tendon_help(int contact, const Forces& u) const {
  const statics::Contact& data = nominal_.contacts[static_cast<std::size_t>(contact)];
  double u_n = 0.0;
  for (int p = data.first_point; p < data.first_point + data.n_points; ++p)
    u_n += data.capacity.normal.dot(u.segment<3>(3 * p));
  return tendon_arm_m_ * u_n;
}

double RiskFrame::find_torque(int row, const Forces& u, const Extended& v) const {
  double torque = nominal_.torque_offset[row] + torque_rows_.row(row).dot(v);
  for (std::size_t c = 0; c < contacts_.size(); ++c) {
    if (wrist_rows_[c] == row) torque -= find_tendon_help(static_cast<int>(c), u);
  }
  return torque;
}

void RiskFrame::calc_torque_rows(const Forces& u, const Extended& v, statics::TorqueVector& torques) const {
  torques = nominal_.torque_offset.head(nominal_.n_torque_rows) + torque_rows_ * v;
  for (std::size_t c = 0; c < contacts_.size(); ++c) {
    if (wrist_rows_[c] >= 0) torques[wrist_rows_[c]] -= find_tendon_help(static_cast<int>(c), u);
  }
}

/// What is missing to balance, in the units of the correction's rows (forces and moments over the weight).
RiskFrame::Wrench RiskFrame::find_residual(const World& world, const Extended& v) const {
  const int n = nominal_.n_force();
  Vec3 force = world.target.head<3>();
  Vec3 moment = world.target.tail<3>();
  for (int p = 0; p < nominal_.n_points(); ++p) {
    const Vec3 f_C_W = v.segment<3>(3 * p);
    force -= f_C_W;
    moment -= (nominal_.points[static_cast<std::size_t>(p)] - nominal_.p_Wcm).cross(f_C_W);
  }
  for (int c = 0; c < static_cast<int>(contacts_.size()); ++c) moment -= v.segment<3>(n + 3 * c);
  Wrench residual;
  residual << force, moment;
  return residual / nominal_.weight_N;
}

/// Cones, faces and capacities at full strength.
bool RiskFrame::check_contacts(const World& world, const Forces& u) const {
  const double tolerance_N = kRounding * nominal_.weight_N;
  for (std::size_t c = 0; c < contacts_.size(); ++c) {
    const statics::Contact& contact = nominal_.contacts[c];
    const CapacitySet& set = contact.capacity;
    Vec3 sum = Vec3::Zero();
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
      const Vec3 f = u.segment<3>(3 * p);
      const double f_n = set.normal.dot(f);
      const double allowed = world.mu[c] * f_n + tolerance_N;
      if (allowed < 0.0 || (f - f_n * set.normal).squaredNorm() > allowed * allowed) return false;
      for (const Vec3& face : set.cone_faces) {
        if (face.dot(f) > tolerance_N) return false;
      }
      sum += f;
    }
    for (const HalfSpace& bound : set.bounds) {
      if (bound.a.dot(sum) > world.strength[c] * bound.b_N * (1.0 + kRounding)) return false;
    }
  }
  return true;
}

bool RiskFrame::is_torque_met(const World& world, int row, double torque) const {
  const double upper = find_upper(world, row);
  const double lower = find_lower(world, row);
  const double tolerance = kRounding * (upper + lower);
  return torque <= upper + tolerance && -torque <= lower + tolerance;
}

/// Torque limits at full strength. Rows that the change from the start's forces cannot bring to their limit are passed
/// over.
bool RiskFrame::check_torques(const World& world, const Base& base, const Forces& u, const Extended& v) const {
  const int n = nominal_.n_force();
  const int n_moments = 3 * static_cast<int>(contacts_.size());
  const double forces_N = (v.head(n) - base.v.head(n)).norm();
  const double moments_Nm = v.segment(n, n_moments).norm();
  const double masses = v.tail<kBuildParts>().norm();
  for (int row = 0; row < nominal_.n_torque_rows; ++row) {
    const double slack =
        std::min(find_upper(world, row) - base.torques[row], find_lower(world, row) + base.torques[row]);
    const double change = force_norms_[row] * forces_N + moment_norms_[row] * moments_Nm + mass_norms_[row] * masses;
    if (change < slack) continue;
    if (!is_torque_met(world, row, find_torque(row, u, v))) return false;
  }
  return true;
}

/// The forces with most room, brought to the balance of this world, pass all its limits. Where one does not fit, it is
/// moved back inside and the balance is made anew, a few times.
bool RiskFrame::check_interior(const World& world) const {
  if (!interior_) return false;
  Forces u = interior_->u;
  Extended v;
  for (int repair = 0;; ++repair) {
    extend(world, u, v);
    for (int pass = 0; pass < kMostBalancing && !is_balanced(world, v); ++pass) {
      u.noalias() += interior_inverse_ * find_residual(world, v);
      extend(world, u, v);
    }
    if (!is_balanced(world, v)) return false;
    if (check_contacts(world, u)) return check_torques(world, *interior_, u, v);
    if (repair == kMostRepairs) return false;
    move_inside(world, u);
  }
}

/// Forces outside their cones or capacities go to the nearest point a little inside.
void RiskFrame::move_inside(const World& world, Forces& u) const {
  for (std::size_t c = 0; c < contacts_.size(); ++c) {
    const statics::Contact& contact = nominal_.contacts[c];
    const CapacitySet& set = contact.capacity;
    Vec3 sum = Vec3::Zero();
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
      const Vec3 f = u.segment<3>(3 * p);
      const double f_n = set.normal.dot(f);
      const Vec3 f_t = f - f_n * set.normal;
      const double size = f_t.norm();
      const double mu = (1.0 - kRepairInset) * world.mu[c];
      const double excess = size - mu * f_n;
      if (excess > 0.0) {
        const double step = kOverstep * excess / (1.0 + mu * mu);
        const double left = size > 0.0 ? std::max(0.0, 1.0 - step / size) : 0.0;
        u.segment<3>(3 * p) = left * f_t + (f_n + mu * step) * set.normal;
      }
      sum += u.segment<3>(3 * p);
    }
    for (const HalfSpace& bound : set.bounds) {
      const double excess = bound.a.dot(sum) - (1.0 - kRepairInset) * world.strength[c] * bound.b_N;
      if (excess <= 0.0) continue;
      const Vec3 step = kOverstep * excess * bound.a;
      sum -= step;
      for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p)
        u.segment<3>(3 * p) -= step / contact.n_points;
    }
  }
}

bool RiskFrame::is_balanced(const World& world, const Extended& v) const {
  return find_residual(world, v).cwiseAbs().maxCoeff() < kBalance;
}

/// What is left of the start's rows in this world, with the given forces and effort.
void RiskFrame::find_row_residual(const World& world, const Start& start, const Forces& u, const Extended& v,
                                  double effort, RowVector& residual) const {
  using Kind = BindingRow::Kind;
  residual.resize(6 + static_cast<Eigen::Index>(start.rows.size()));
  residual.head<6>() = find_residual(world, v);
  for (std::size_t i = 0; i < start.rows.size(); ++i) {
    const BindingRow& row = start.rows[i];
    double excess = -effort * find_growth(world, row);
    switch (row.kind) {
      case Kind::kBound: {
        const statics::Contact& contact = nominal_.contacts[static_cast<std::size_t>(row.index)];
        Vec3 sum = Vec3::Zero();
        for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) sum += u.segment<3>(3 * p);
        excess += contact.capacity.bounds[static_cast<std::size_t>(row.bound)].a.dot(sum);
        break;
      }
      case Kind::kUpper:
        excess += find_torque(row.index, u, v) - nominal_.passive_upper[row.index];
        break;
      case Kind::kLower:
        excess -= find_torque(row.index, u, v) + nominal_.passive_lower[row.index];
        break;
      case Kind::kCone: {
        const CapacitySet& set = capacity_of(row.index);
        const Vec3 f = u.segment<3>(3 * row.index);
        const double f_n = set.normal.dot(f);
        const auto c = static_cast<std::size_t>(contact_of_[static_cast<std::size_t>(row.index)]);
        excess = (f - f_n * set.normal).norm() - std::min(start.friction, 1.0 - kConeInset) * world.mu[c] * f_n;
        break;
      }
    }
    residual[6 + static_cast<Eigen::Index>(i)] = -excess / row.scale;
  }
}

/// The effort to first order.
double RiskFrame::estimate_effort(const World& world, const Start& start) const {
  Extended v;
  RowVector residual;
  extend(world, start.base.u, v);
  find_row_residual(world, start, start.base.u, v, start.effort, residual);
  return start.effort + start.multipliers.dot(residual);
}

/// By how much the row's limit grows with the effort, N or Nm.
double RiskFrame::find_growth(const World& world, const BindingRow& row) const {
  switch (row.kind) {
    case BindingRow::Kind::kBound: {
      const auto c = static_cast<std::size_t>(row.index);
      return world.strength[c] * nominal_.contacts[c].capacity.bounds[static_cast<std::size_t>(row.bound)].b_N;
    }
    case BindingRow::Kind::kUpper:
      return world.joints * nominal_.active_upper[row.index];
    case BindingRow::Kind::kLower:
      return world.joints * nominal_.active_lower[row.index];
    case BindingRow::Kind::kCone:
      break;
  }
  return 0.0;
}

void RiskFrame::find_slip_margins(const World& world, Answer& answer) const {
  Extended v;
  extend(world, distribution_, v);
  const Forces u = distribution_ + balance_inverse_ * find_residual(world, v);
  for (std::size_t c = 0; c < contacts_.size(); ++c) {
    const statics::Contact& contact = nominal_.contacts[c];
    Vec3 sum = Vec3::Zero();
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) sum += u.segment<3>(3 * p);
    const double size = sum.norm();
    if (size == 0.0) continue;
    const double f_n = contact.capacity.normal.dot(sum);
    double margin = std::atan(world.mu[c]) - std::atan2((sum - f_n * contact.capacity.normal).norm(), f_n);
    for (const Vec3& face : contact.capacity.cone_faces)
      margin = std::min(margin, std::asin(std::clamp(-face.dot(sum) / size, -1.0, 1.0)));
    const std::size_t limb = index_of(contacts_[c].limb);
    answer.slip_margin[limb] = margin;
    if (limb >= answer.slip_off_margin.size()) continue;
    // Bounds that grow by a share hold as much of a force as those that do not of one that is smaller by it.
    answer.slip_off_margin[limb] =
        std::min(margin, find_strength_turn(contact.capacity, sum / world.strength[c], contacts_[c].lip_W));
  }
}

RiskFrame::Answer RiskFrame::ask(const RiskDraw& draw, RiskWorkspace& workspace) {
  Answer answer;
  const World world = make_world(draw);
  find_slip_margins(world, answer);
  const Verdict verdict = find_verdict(world, answer.effort);
  answer.is_held = verdict == Verdict::kHeld;
  if (verdict != Verdict::kUnknown) return answer;
  const Verdict near = interior_ ? find_nearest(world, answer.effort < 1.0, workspace.nearest) : Verdict::kUnknown;
  answer.is_held = near == Verdict::kHeld;
  if (answer.is_held || (near == Verdict::kFails && learned_.size() == kMostStarts)) return answer;
  ++workspace.exact_solves;
  const statics::Effort exact = solve_near(world, workspace);
  learn(world, exact);
  answer.effort = exact.rho;
  if (near == Verdict::kUnknown)
    answer.is_held = exact.status == statics::Status::kSolved && exact.rho <= 1.0 + kRiskProof;
  return answer;
}

/// By check or proof, those first that cost least and tell most often; both are certain, so that the order costs time
/// only. `effort`: to first order.
RiskFrame::Verdict RiskFrame::find_verdict(const World& world, double& effort) {
  effort = kInfinity;
  if (!starts_.empty()) {
    const Start& nominal = starts_.back();
    effort = estimate_effort(world, nominal);
    if (effort > 1.0 && prove_failure(world, nominal)) return Verdict::kFails;
    if (effort < kHopeless && check_interior(world)) return Verdict::kHeld;
    if (effort <= 1.0 && effort > kRiskDoubtful && prove_failure(world, nominal)) return Verdict::kFails;
  }
  // The motion that told last, then the starts, then the other motions.
  const auto fails_by_motion = [&](std::size_t first, std::size_t last) {
    if (!prove_imbalance(world, std::min(first, motions_.size()), std::min(last, motions_.size()))) return false;
    effort = kInfinity;
    return true;
  };
  if (fails_by_motion(0, 1) || fails_as_learned(world, effort) || fails_by_motion(1, kMostMotions))
    return Verdict::kFails;
  return Verdict::kUnknown;
}

/// A motion of those numbers that no force inside the cones resists, while the weight drives it. It becomes the first.
bool RiskFrame::prove_imbalance(const World& world, std::size_t first, std::size_t last) {
  const auto begin = motions_.begin() + static_cast<std::ptrdiff_t>(first);
  const auto end = motions_.begin() + static_cast<std::ptrdiff_t>(last);
  const auto tells = std::find_if(begin, end, [&](const Motion& motion) {
    return find_imbalance(world, adapt(world, motion)) > kRounding * nominal_.weight_N;
  });
  if (tells == end) return false;
  std::rotate(motions_.begin(), tells, tells + 1);
  return true;
}

RiskFrame::Limit RiskFrame::find_limit(const RiskDraw& draw) const {
  if (starts_.empty()) return nominal_limit_;
  const World world = make_world(draw);
  const Start& start = starts_.back();
  Limit limit = nominal_limit_;
  double largest = 0.0;
  for (std::size_t i = 0; i < start.rows.size(); ++i) {
    const BindingRow& row = start.rows[i];
    const double share = -start.multipliers[6 + static_cast<Eigen::Index>(i)] * find_growth(world, row) / row.scale;
    if (share <= largest) continue;
    largest = share;
    const auto index = static_cast<std::size_t>(row.index);
    limit = row.kind == BindingRow::Kind::kBound ? contact_names_[index] : torque_names_[index];
  }
  return limit;
}

}  // namespace steepwright::move
