#include "engine/move/risk_frame.h"

#include <algorithm>
#include <cmath>

namespace steepwright::move {

namespace {

using statics::NearestPoint;
using statics::RowTag;
using statics::RowView;

constexpr double kViolated = 1e-9;    ///< of the weight, or of a torque's limits: less is rounding
constexpr double kPlaneInset = 2e-3;  ///< planes this share inside the cones: they hardly turn more than once
constexpr int kMostTaken = 200;       ///< limits taken in, until the exact program is asked instead
constexpr double kLeastShare = 1e-9;  ///< a limit with less of a contradiction has no part in it

}  // namespace

/// Forces within all limits of the world, the nearest to those with most room, or a proof that there are none: a
/// quadratic program that takes in one passed limit at a time. Tangent planes stand for the cones. With planes a little
/// inside, forces soon stay within the cones though they turn; planes at the cones hold for every force, so that a
/// contradiction between them is a proof. `is_hopeful`: the planes inside are worth a try.
RiskFrame::Verdict RiskFrame::find_nearest(const World& world, bool is_hopeful, NearestPoint& qp) {
  for (const double inset : {kPlaneInset, 0.0}) {
    if (inset > 0.0 && !is_hopeful) continue;
    if (!load_nearest(world, qp)) return Verdict::kUnknown;
    const Verdict verdict = take_in_limits(world, inset, qp);
    if (verdict == Verdict::kHeld || (verdict == Verdict::kFails && inset == 0.0)) return verdict;
  }
  return Verdict::kUnknown;
}

/// Forces over the weight, as near to those with most room as balance allows; false where balance is not of full rank.
bool RiskFrame::load_nearest(const World& world, NearestPoint& qp) const {
  const int n = nominal_.n_force();
  const Forces start = interior_->u / nominal_.weight_N;
  qp.start(start.data(), n);
  std::array<std::array<double, statics::kMaxForce>, 6> rows{};
  for (int p = 0; p < nominal_.n_points(); ++p) {
    const auto c = static_cast<std::size_t>(contact_of_[static_cast<std::size_t>(p)]);
    const Vec3 arm = nominal_.points[static_cast<std::size_t>(p)] + world.shift_W[c] - nominal_.p_Wcm;
    const Mat3 moment = skew(arm) * world.R[c];
    for (int k = 0; k < 3; ++k) {
      for (int i = 0; i < 3; ++i) {
        rows[static_cast<std::size_t>(k)][static_cast<std::size_t>(3 * p + i)] = world.R[c](k, i);
        rows[static_cast<std::size_t>(3 + k)][static_cast<std::size_t>(3 * p + i)] = moment(k, i);
      }
    }
  }
  for (int k = 0; k < 6; ++k) {
    const RowView row{rows[static_cast<std::size_t>(k)].data(), 0, n};
    const RowTag tag{RowTag::Kind::kEquality, k, 0, Vec3::Zero()};
    if (!qp.add_equality(row, world.target[k] / nominal_.weight_N, tag)) return false;
  }
  return true;
}

RiskFrame::Verdict RiskFrame::take_in_limits(const World& world, double inset, NearestPoint& qp) {
  std::array<double, statics::kMaxForce> values{};
  for (int i = 0; i < kMostTaken; ++i) {
    const Forces u = nominal_.weight_N * Eigen::Map<const Eigen::VectorXd>(qp.x(), nominal_.n_force());
    RowTag passed;
    if (!find_most_passed(world, u, passed)) return Verdict::kHeld;
    double b = 0.0;
    const RowView row = make_limit_row(world, passed, inset, values, b);
    if (qp.add_violated(row, b, passed) == NearestPoint::Step::kAdded) continue;
    if (inset == 0.0) learn_contradiction(world, passed, qp);
    return Verdict::kFails;
  }
  return Verdict::kUnknown;
}

/// The contact's limit that the forces pass most; where they meet all of them, the torque's. Rows not near their limits
/// come last, and count as near from then on.
bool RiskFrame::find_most_passed(const World& world, const Forces& u, RowTag& passed) {
  using Kind = RowTag::Kind;
  double most = kViolated;
  const auto offer = [&](double violation, Kind kind, int index, std::size_t bound = 0) {
    if (violation <= most) return false;
    most = violation;
    passed = {kind, index, static_cast<int>(bound), Vec3::Zero()};
    return true;
  };
  const double per_weight = 1.0 / nominal_.weight_N;
  for (std::size_t c = 0; c < contacts_.size(); ++c) {
    const statics::Contact& contact = nominal_.contacts[c];
    const CapacitySet& set = contact.capacity;
    Vec3 sum = Vec3::Zero();
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
      const Vec3 f = u.segment<3>(3 * p);
      const double f_n = set.normal.dot(f);
      const Vec3 f_t = f - f_n * set.normal;
      const double size = f_t.norm();
      // In the polar cone the nearest force is none at all: the half-space of the normal bites deeper.
      if (-f_n > world.mu[c] * size) {
        offer(-f_n * per_weight, Kind::kNormal, p);
      } else if (offer((size - world.mu[c] * f_n) * per_weight, Kind::kCone, p)) {
        passed.t_W = f_t / size;
      }
      for (std::size_t k = 0; k < set.cone_faces.size(); ++k)
        offer(set.cone_faces[k].dot(f) * per_weight, Kind::kFace, p, k);
      sum += f;
    }
    for (std::size_t k = 0; k < set.bounds.size(); ++k) {
      const double excess_N = set.bounds[k].a.dot(sum) - world.strength[c] * set.bounds[k].b_N;
      offer(excess_N * per_weight, Kind::kBound, static_cast<int>(c), k);
    }
  }
  if (most > kViolated) return true;
  Extended v;
  extend(world, u, v);
  const auto offer_row = [&](int row) {
    const double torque = find_torque(row, u, v);
    const double upper = find_upper(world, row), lower = find_lower(world, row);
    const double share = 1.0 / (upper + lower);
    offer((torque - upper) * share, Kind::kTorqueUpper, row);
    offer((-torque - lower) * share, Kind::kTorqueLower, row);
  };
  for (const int row : near_rows_) offer_row(row);
  if (most > kViolated) return true;
  for (int row = 0; row < nominal_.n_torque_rows; ++row) offer_row(row);
  if (most > kViolated) near_rows_.push_back(passed.index);
  return most > kViolated;
}

/// The limit as a row n . x >= b over forces per weight.
RowView RiskFrame::make_limit_row(const World& world, const RowTag& limit, double inset,
                                  std::array<double, statics::kMaxForce>& values, double& b) const {
  using Kind = RowTag::Kind;
  b = 0.0;
  const auto point_row = [&](const Vec3& n) {
    std::copy_n(n.data(), 3, values.begin());
    return RowView{values.data(), 3 * limit.index, 3};
  };
  switch (limit.kind) {
    case Kind::kNormal:
      return point_row(capacity_of(limit.index).normal);
    case Kind::kCone: {
      const auto c = static_cast<std::size_t>(contact_of_[static_cast<std::size_t>(limit.index)]);
      return point_row((1.0 - inset) * world.mu[c] * capacity_of(limit.index).normal - limit.t_W);
    }
    case Kind::kFace:
      return point_row(-capacity_of(limit.index).cone_faces[static_cast<std::size_t>(limit.bound)]);
    case Kind::kBound: {
      const auto c = static_cast<std::size_t>(limit.index);
      const statics::Contact& contact = nominal_.contacts[c];
      const HalfSpace& bound = contact.capacity.bounds[static_cast<std::size_t>(limit.bound)];
      for (int p = 0; p < contact.n_points; ++p)
        for (int k = 0; k < 3; ++k) values[static_cast<std::size_t>(3 * p + k)] = -bound.a[k];
      b = -world.strength[c] * bound.b_N / nominal_.weight_N;
      return {values.data(), 3 * contact.first_point, 3 * contact.n_points};
    }
    default:
      return make_torque_row(world, limit, values, b);
  }
}

RowView RiskFrame::make_torque_row(const World& world, const RowTag& limit,
                                   std::array<double, statics::kMaxForce>& values, double& b) const {
  const int n = nominal_.n_force();
  const int row = limit.index;
  const bool is_upper = limit.kind == RowTag::Kind::kTorqueUpper;
  const double share = 1.0 / (find_upper(world, row) + find_lower(world, row));
  const double scale = (is_upper ? -share : share) * nominal_.weight_N;
  double offset = nominal_.torque_offset[row];
  for (int part = 0; part < kBuildParts; ++part)
    offset +=
        torque_rows_(row, torque_rows_.cols() - kBuildParts + part) * world.mass_share[static_cast<std::size_t>(part)];
  for (std::size_t c = 0; c < contacts_.size(); ++c) {
    const statics::Contact& contact = nominal_.contacts[c];
    const Vec3 moment_row = torque_rows_.block<1, 3>(row, n + 3 * static_cast<int>(c)).transpose();
    const Vec3 shifted = moment_row.cross(world.shift_W[c]);
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
      const Vec3 force_row = torque_rows_.block<1, 3>(row, 3 * p).transpose();
      Vec3 a = world.R[c].transpose() * (force_row + shifted);
      if (wrist_rows_[c] == row) a -= tendon_arm_m_ * contact.capacity.normal;
      for (int k = 0; k < 3; ++k) values[static_cast<std::size_t>(3 * p + k)] = scale * a[k];
    }
  }
  b = -share * (is_upper ? find_upper(world, row) - offset : find_lower(world, row) + offset);
  return {values.data(), 0, n};
}

/// Where no strength has a part in the contradiction it is a motion that nothing resists: worlds like this one fail by
/// it too.
void RiskFrame::learn_contradiction(const World& world, const RowTag& passed, const NearestPoint& qp) {
  const auto is_strength = [](const RowTag& tag) {
    return tag.kind == RowTag::Kind::kBound || tag.kind == RowTag::Kind::kTorqueLower ||
           tag.kind == RowTag::Kind::kTorqueUpper;
  };
  if (is_strength(passed)) return;
  statics::Effort motion;
  for (int i = 0; i < qp.n_active(); ++i) {
    const RowTag& tag = qp.tag(i);
    if (is_strength(tag) && -qp.contradiction(i) > kLeastShare) return;
    if (tag.kind == RowTag::Kind::kEquality)
      (tag.index < 3 ? motion.force_dual : motion.moment_dual)[tag.index % 3] = qp.contradiction(i);
  }
  add_motion(world, motion);
}

}  // namespace steepwright::move
