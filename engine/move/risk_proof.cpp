#include "engine/move/risk_frame.h"

#include <Eigen/Cholesky>

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::move {

namespace {

constexpr double kLeastStiffness = 1e-9;  ///< of a motion that no point feels
constexpr double kFarFromProof = 0.2;     ///< a bound this much too low is given up
constexpr double kFlatBound = 0.02;       ///< a bound whose direction gains less along the normal limits nothing

}  // namespace

/// s of every point: what its force would add to the effort beyond what the multipliers account for. `right`: the
/// strength that the multipliers set against the load at full effort.
void RiskFrame::find_motion(const World& world, const Start& start, const RowVector& multipliers, Forces& s,
                            double& right) const {
  using Kind = BindingRow::Kind;
  const int n = nominal_.n_force();
  const Vec3 y_F = multipliers.head<3>() / nominal_.weight_N;
  const Vec3 y_M = multipliers.segment<3>(3) / nominal_.weight_N;
  s.resize(n);
  std::array<Vec3, kMaxContacts> by_contact;
  by_contact.fill(Vec3::Zero());
  for (std::size_t c = 0; c < contacts_.size(); ++c) {
    const statics::Contact& contact = nominal_.contacts[c];
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
      const Vec3 arm = nominal_.points[static_cast<std::size_t>(p)] + world.shift_W[c] - nominal_.p_Wcm;
      s.segment<3>(3 * p) = -y_F - y_M.cross(arm);
    }
  }
  right = 0.0;
  for (std::size_t i = 0; i < start.rows.size(); ++i) {
    const BindingRow& row = start.rows[i];
    const double z = -multipliers[6 + static_cast<Eigen::Index>(i)] / row.scale;
    if (row.kind == Kind::kCone || z == 0.0) continue;
    right += z * find_growth(world, row);
    if (row.kind == Kind::kBound) {
      const statics::Contact& contact = nominal_.contacts[static_cast<std::size_t>(row.index)];
      by_contact[static_cast<std::size_t>(row.index)] +=
          z * contact.capacity.bounds[static_cast<std::size_t>(row.bound)].a;
      continue;
    }
    const double sign = row.kind == Kind::kUpper ? 1.0 : -1.0;
    double offset = nominal_.torque_offset[row.index];
    for (int part = 0; part < kBuildParts; ++part)
      offset += torque_rows_(row.index, torque_rows_.cols() - kBuildParts + part) *
                world.mass_share[static_cast<std::size_t>(part)];
    const double passive =
        row.kind == Kind::kUpper ? nominal_.passive_upper[row.index] : nominal_.passive_lower[row.index];
    right += z * (passive - sign * offset);
    for (std::size_t c = 0; c < contacts_.size(); ++c) {
      const statics::Contact& contact = nominal_.contacts[c];
      const Vec3 moment_row = torque_rows_.block<1, 3>(row.index, n + 3 * static_cast<int>(c)).transpose();
      const Vec3 shifted = moment_row.cross(world.shift_W[c]);
      for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
        const Vec3 force_row = torque_rows_.block<1, 3>(row.index, 3 * p).transpose();
        s.segment<3>(3 * p) += z * sign * (force_row + shifted);
      }
      if (wrist_rows_[c] == row.index) by_contact[c] -= z * sign * tendon_arm_m_ * contact.capacity.normal;
    }
  }
  for (std::size_t c = 0; c < contacts_.size(); ++c) {
    const statics::Contact& contact = nominal_.contacts[c];
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p)
      s.segment<3>(3 * p) = world.R[c].transpose() * s.segment<3>(3 * p) + by_contact[c];
  }
}

/// The most that forces within cones and capacities can take off the bound because s leaves the dual cones.
double RiskFrame::find_penalty(const World& world, const Forces& s) const {
  double penalty = 0.0;
  for (std::size_t c = 0; c < contacts_.size(); ++c) {
    const statics::Contact& contact = nominal_.contacts[c];
    const CapacitySet& set = contact.capacity;
    double worst = 0.0;
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
      const Vec3 s_p = s.segment<3>(3 * p);
      const double s_n = set.normal.dot(s_p);
      worst = std::max(worst, world.mu[c] * (s_p - s_n * set.normal).norm() - s_n);
    }
    if (worst <= 0.0) continue;
    double most_N = std::numeric_limits<double>::infinity();
    for (const HalfSpace& bound : set.bounds) {
      const double a_n = set.normal.dot(bound.a);
      const double gain = a_n - world.mu[c] * (bound.a - a_n * set.normal).norm();
      if (gain > kFlatBound) most_N = std::min(most_N, world.strength[c] * bound.b_N / gain);
    }
    penalty += worst * most_N;
  }
  return penalty;
}

/// A bound on this world's effort above 1, whatever the forces.
bool RiskFrame::prove_failure(const World& world, const Start& start) const {
  const int n = nominal_.n_force();
  RowVector multipliers = start.multipliers;
  Forces s;
  double right = 0.0;
  Eigen::Matrix<double, Eigen::Dynamic, 1, Eigen::ColMajor, statics::kMaxForce + 1, 1> missing(n + 1);
  for (int pass = 0; pass < kRiskCorrections; ++pass) {
    find_motion(world, start, multipliers, s, right);
    if ((multipliers.tail(multipliers.size() - 6).array() <= 0.0).all()) {
      const double excess = find_excess(world, multipliers, s, right);
      if (excess > kRiskProof) return true;
      if (pass > 0 && excess < -kFarFromProof) return false;
    }
    missing.head(n) = s;
    double growth = 0.0;
    for (std::size_t i = 0; i < start.rows.size(); ++i) {
      const BindingRow& row = start.rows[i];
      const double multiplier = multipliers[6 + static_cast<Eigen::Index>(i)];
      growth -= multiplier * find_growth(world, row) / row.scale;
      if (row.kind != BindingRow::Kind::kCone) continue;
      const CapacitySet& set = capacity_of(row.index);
      const auto c = static_cast<std::size_t>(contact_of_[static_cast<std::size_t>(row.index)]);
      missing.segment<3>(3 * row.index) -= multiplier / row.scale * (row.a - world.mu[c] * set.normal);
    }
    missing[n] = 1.0 - growth;
    multipliers.noalias() += start.inverse.transpose() * missing;
  }
  for (Eigen::Index i = 6; i < multipliers.size(); ++i) multipliers[i] = std::min(0.0, multipliers[i]);
  find_motion(world, start, multipliers, s, right);
  return find_excess(world, multipliers, s, right) > kRiskProof;
}

/// By how much the load outweighs all that forces at full effort can set against it; limits' multipliers are negative.
double RiskFrame::find_excess(const World& world, const RowVector& multipliers, const Forces& s, double right) const {
  return multipliers.head<6>().dot(world.target) / nominal_.weight_N - right - find_penalty(world, s);
}

/// What every point feels of a motion: its displacement, turned around, in the contact's tilted axes.
void RiskFrame::find_felt(const World& world, const Wrench& motion, Forces& s) const {
  s.resize(nominal_.n_force());
  for (std::size_t c = 0; c < contacts_.size(); ++c) {
    const statics::Contact& contact = nominal_.contacts[c];
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
      const Vec3 arm = nominal_.points[static_cast<std::size_t>(p)] + world.shift_W[c] - nominal_.p_Wcm;
      s.segment<3>(3 * p) = world.R[c].transpose() * (-motion.head<3>() - Vec3(motion.tail<3>()).cross(arm));
    }
  }
}

/// What the motion proves to be missing of balance: above 0, no forces inside cones and capacities balance the weight.
double RiskFrame::find_imbalance(const World& world, const Wrench& motion) const {
  Forces s;
  find_felt(world, motion, s);
  return motion.dot(world.target) - find_penalty(world, s);
}

/// The motion of this world that its points feel as nearly as they can like that one's: an axis through two contacts
/// goes with them.
RiskFrame::Wrench RiskFrame::adapt(const World& world, const Motion& motion) const {
  Forces s;
  find_felt(world, motion.motion, s);
  Eigen::Matrix<double, 6, 6> normal = kLeastStiffness * Eigen::Matrix<double, 6, 6>::Identity();
  Wrench right = Wrench::Zero();
  for (std::size_t c = 0; c < contacts_.size(); ++c) {
    const statics::Contact& contact = nominal_.contacts[c];
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
      const Mat3 arm = skew(nominal_.points[static_cast<std::size_t>(p)] + world.shift_W[c] - nominal_.p_Wcm);
      const Vec3 missing = world.R[c] * (motion.felt.segment<3>(3 * p) - s.segment<3>(3 * p));
      // s changes by -(d_F + d_M x arm) = -d_F + arm x d_M.
      normal.topLeftCorner<3, 3>() += Mat3::Identity();
      normal.topRightCorner<3, 3>() -= arm;
      normal.bottomLeftCorner<3, 3>() += arm;
      normal.bottomRightCorner<3, 3>() -= arm * arm;
      right.head<3>() -= missing;
      right.tail<3>() -= arm * missing;
    }
  }
  return motion.motion + normal.llt().solve(right);
}

}  // namespace steepwright::move
