// What the rounds work on: objective, sides of the torques, rows named by tags, the most violated one, multipliers.

#include "engine/statics/dense.h"
#include "engine/statics/distribution_solver.h"

#include <algorithm>
#include <cmath>

namespace steepwright::statics {

namespace {

// A limit below this carries nothing; it keeps (tau / limit)^2 finite. Nm.
constexpr double kLeastLimit = 1e-3;
// A torque this small against its limit has no side.
constexpr double kNoSide = 1e-9;
// A tangential force beyond the cone by this factor (0.6 rad off its plane) gets a second plane within a Newton round.
constexpr double kCoarse = 1.2;

}  // namespace

void DistributionSolver::load() {
  calc_equilibrium_rows(problem_, w_.equilibrium_);
  const bool has_sides = w_.is_warm_ && w_.warm_n_torque_ == problem_.n_torque_rows;
  for (int j = 0; j < problem_.n_torque_rows; ++j) {
    w_.lower_[at(j)] = std::max(kLeastLimit, effort() * problem_.active_lower[j] + problem_.passive_lower[j]);
    w_.upper_[at(j)] = std::max(kLeastLimit, effort() * problem_.active_upper[j] + problem_.passive_upper[j]);
    w_.torque_offsets_[at(j)] = problem_.torque_offset[j];
    if (!has_sides) w_.is_upper_[at(j)] = problem_.torque_offset[j] >= 0.0;
    for (int i = 0; i < n_; ++i) w_.torque_rows_[at(j * kMaxForce + i)] = unit_ * problem_.torque_map(j, i);
    w_.torque_ranges_[at(j)] = find_nonzero_range(&w_.torque_rows_[at(j * kMaxForce)], n_);
  }
}

void DistributionSolver::build_objective() {
  DualActiveSet& qp = w_.qp_;
  qp.resize(n_);
  for (const Contact& contact : problem_.contacts) {
    const double activation = unit_ / contact.scale_N;
    for (int i = 3 * contact.first_point; i < 3 * (contact.first_point + contact.n_points); ++i)
      qp.hessian_row(i)[i] = contact.n_points * activation * activation;
  }
  for (int j = 0; j < problem_.n_torque_rows; ++j) add_torque(j, torque_weight(j));
  if (is_exact()) return;
  for (std::size_t k = 0; k < 6; ++k) {
    qp.add_rank_one(options_.soft_weight, {w_.equilibrium_.rows[k].data(), 0, n_});
    add_scaled(-options_.soft_weight * target(k), w_.equilibrium_.rows[k].data(), qp.gradient(), n_);
  }
}

void DistributionSolver::add_torque(int j, double weight) {
  const RowView row = torque_row(j);
  w_.qp_.add_rank_one(weight, row);
  add_scaled(weight * w_.torque_offsets_[at(j)], row.values, w_.qp_.gradient() + row.first, row.count);
}

bool DistributionSolver::update_sides() {
  bool changed = false;
  for (int j = 0; j < problem_.n_torque_rows; ++j) {
    const double tau = torque(j, w_.x_.data());
    const bool is_upper = tau >= 0.0;
    if (is_upper == w_.is_upper_[at(j)] || std::abs(tau) <= kNoSide * std::min(w_.lower_[at(j)], w_.upper_[at(j)]))
      continue;
    const double before = torque_weight(j);
    w_.is_upper_[at(j)] = is_upper;
    if (torque_weight(j) == before) continue;
    add_torque(j, torque_weight(j) - before);
    changed = true;
  }
  return changed;
}

Vec3 DistributionSolver::find_tangential(int point) const {
  const Vec3& normal = capacity_of(point).normal;
  const Vec3 f(w_.x_[at(3 * point)], w_.x_[at(3 * point + 1)], w_.x_[at(3 * point + 2)]);
  return f - normal.dot(f) * normal;
}

RowView DistributionSolver::make_row(RowTag& tag, double& b) {
  using Kind = RowTag::Kind;
  b = 0.0;
  const auto point_row = [&](const Vec3& n) {
    std::copy_n(n.data(), 3, w_.row_.begin());
    return RowView{w_.row_.data(), 3 * tag.index, 3};
  };
  switch (tag.kind) {
    case Kind::kEquality:
      break;
    case Kind::kNormal:
      return point_row(capacity_of(tag.index).normal);
    case Kind::kCone: {
      const CapacitySet& set = capacity_of(tag.index);
      tag.t_W -= set.normal.dot(tag.t_W) * set.normal;
      const double size = tag.t_W.norm();
      if (size < 0.1) return {};
      tag.t_W /= size;
      return point_row(set.mu * set.normal - tag.t_W);
    }
    case Kind::kFace: {
      const CapacitySet& set = capacity_of(tag.index);
      if (at(tag.bound) >= set.cone_faces.size()) return {};
      return point_row(-set.cone_faces[at(tag.bound)]);
    }
    case Kind::kBound: {
      if (options_.effort_bound <= 0.0 || at(tag.index) >= problem_.contacts.size()) return {};
      const Contact& contact = problem_.contacts[at(tag.index)];
      if (at(tag.bound) >= contact.capacity.bounds.size()) return {};
      const HalfSpace& bound = contact.capacity.bounds[at(tag.bound)];
      for (int p = 0; p < contact.n_points; ++p)
        for (int k = 0; k < 3; ++k) w_.row_[at(3 * p + k)] = -bound.a[k];
      b = -effort() * bound.b_N / unit_;
      return {w_.row_.data(), 3 * contact.first_point, 3 * contact.n_points};
    }
    case Kind::kTorqueLower:
    case Kind::kTorqueUpper: {
      if (options_.effort_bound <= 0.0 || tag.index >= problem_.n_torque_rows) return {};
      // Divided by the larger limit, so that the violation is a share.
      const double scale = find_torque_scale(tag.index);
      const double sign = tag.kind == Kind::kTorqueLower ? 1.0 : -1.0;
      const double limit = sign > 0.0 ? w_.lower_[at(tag.index)] : w_.upper_[at(tag.index)];
      const RowView row = torque_row(tag.index);
      for (int i = 0; i < row.count; ++i) w_.row_[at(i)] = sign / scale * row.values[i];
      b = (-limit - sign * w_.torque_offsets_[at(tag.index)]) / scale;
      return {w_.row_.data(), row.first, row.count};
    }
  }
  return {};
}

bool DistributionSolver::find_most_violated(const double* x, RowTag& worst) const {
  using Kind = RowTag::Kind;
  double most = kDistributionTolerance;
  std::array<bool, kMaxPoints> has_plane{};
  if (is_newton_)
    for (int i = 0; i < w_.qp_.n_active(); ++i)
      if (w_.qp_.tag(i).kind == Kind::kCone) has_plane[at(w_.qp_.tag(i).index)] = !is_apex_[at(w_.qp_.tag(i).index)];
  const auto offer = [&](double violation, Kind kind, int index, int bound) {
    if (violation <= most) return false;
    most = violation;
    worst.kind = kind;
    worst.index = index;
    worst.bound = bound;
    return true;
  };
  for (int c = 0; c < static_cast<int>(problem_.contacts.size()); ++c) {
    const Contact& contact = problem_.contacts[at(c)];
    const CapacitySet& set = contact.capacity;
    Vec3 sum = Vec3::Zero();
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
      const Vec3 f(x[3 * p], x[3 * p + 1], x[3 * p + 2]);
      sum += f;
      const double f_n = set.normal.dot(f);
      const Vec3 f_t = f - f_n * set.normal;
      const double size = f_t.norm();
      // Below the apex (in the polar cone) the nearest force is none at all: the normal's half-space bites deeper.
      if (-f_n > set.mu * size) {
        offer(-f_n, Kind::kNormal, p, 0);
      } else if (has_plane[at(p)] && size < kCoarse * set.mu * f_n) {
        // One plane a round is enough: the next round turns it.
      } else if (offer(size - set.mu * f_n, Kind::kCone, p, 0)) {
        worst.t_W = f_t / size;
      }
      for (std::size_t k = 0; k < set.cone_faces.size(); ++k)
        offer(set.cone_faces[k].dot(f), Kind::kFace, p, static_cast<int>(k));
    }
    if (options_.effort_bound <= 0.0) continue;
    for (std::size_t k = 0; k < set.bounds.size(); ++k)
      offer(set.bounds[k].a.dot(sum) - effort() * set.bounds[k].b_N / unit_, Kind::kBound, c, static_cast<int>(k));
  }
  if (options_.effort_bound <= 0.0) return most > kDistributionTolerance;
  for (int j = 0; j < problem_.n_torque_rows; ++j) {
    const double tau = torque(j, x);
    offer((tau - w_.upper_[at(j)]) / find_torque_scale(j), Kind::kTorqueUpper, j, 0);
    offer((-tau - w_.lower_[at(j)]) / find_torque_scale(j), Kind::kTorqueLower, j, 0);
  }
  return most > kDistributionTolerance;
}

void DistributionSolver::add_multiplier(const RowTag& tag, double multiplier, Distribution& result) const {
  switch (tag.kind) {
    case RowTag::Kind::kEquality:
      if (tag.index < 3) {
        result.force_dual[tag.index] = -multiplier / unit_;
      } else {
        result.moment_dual[tag.index - 3] = -multiplier / (unit_ * problem_.length_m);
      }
      break;
    case RowTag::Kind::kTorqueUpper:
      result.torque_dual[tag.index] += multiplier / find_torque_scale(tag.index);
      break;
    case RowTag::Kind::kTorqueLower:
      result.torque_dual[tag.index] -= multiplier / find_torque_scale(tag.index);
      break;
    default:
      break;
  }
}

}  // namespace steepwright::statics
