// Rounds of the load distribution: Newton on sliding cones, planes alone where that fails.

#include "engine/statics/distribution.h"

#include "engine/statics/dense.h"
#include "engine/statics/distribution_solver.h"

#include <algorithm>
#include <cmath>

namespace steepwright::statics {

namespace {

// Sides agree after 1 to 4 rounds; from this round on steps are searched along the line, which cannot cycle.
constexpr int kPlainRounds = 6;
constexpr int kMaxRounds = 40;
constexpr int kMaxRows = 600;
constexpr int kNewtonRounds = 15;
// Newton's planes are final when they turn by less than this: the next turn would be its square.
constexpr double kTurn = 3e-5;
// A tangential force this small, in body weights, has no direction: the apex is held by planes alone.
constexpr double kApex = 1e-6;
// Nor has one this small that several planes hold: it may be on its way to the apex.
constexpr double kNearApex = 1e-2;
// Penalty that stands in for "least residual" when equilibrium is impossible.
constexpr double kLeastResidualWeight = 1e8;

}  // namespace

Distribution DistributionSolver::solve() {
  Distribution result;
  load();
  if (can_start_warm()) n_curved_ = w_.n_curved_;
  Status status = search(result);
  if (status == Status::kInfeasible && is_exact()) {
    options_.equilibrium = DistributionOptions::Equilibrium::kSoft;
    options_.soft_weight = kLeastResidualWeight;
    w_.is_warm_ = false;
    n_curved_ = 0;
    // Strength is given up too if it alone is what contradicts.
    if (search(result) == Status::kInfeasible) {
      options_.effort_bound = 0.0;
      static_cast<void>(search(result));
    }
    w_.is_warm_ = false;
  }
  result.status = status;
  finish(result);
  return result;
}

Status DistributionSolver::search(Distribution& result) {
  build_objective();
  is_newton_ = true;
  const Status status = search_newton(result);
  if (status != Status::kLimitReached) return status;
  is_newton_ = false;
  n_curved_ = 0;
  return search_cuts(result);
}

Status DistributionSolver::search_newton(Distribution& result) {
  for (int round = 0; round < kNewtonRounds; ++round) {
    const Status status = solve_quadratic(result);
    std::copy_n(w_.qp_.x(), n_, w_.x_.begin());
    if (status != Status::kSolved) {
      w_.is_warm_ = false;
      return status;
    }
    const double turn = keep_curvature();
    if (update_sides() || turn > kTurn) continue;
    RowTag tag;
    is_newton_ = false;  // now every cone counts to the full tolerance
    if (!find_most_violated(w_.x_.data(), tag)) return Status::kSolved;
    is_newton_ = true;
  }
  return Status::kLimitReached;
}

Status DistributionSolver::search_cuts(Distribution& result) {
  bool has_start = false;
  for (int round = 0; round < kMaxRounds; ++round) {
    const Status status = solve_quadratic(result);
    const double* y = w_.qp_.x();
    if (status != Status::kSolved) {
      w_.is_warm_ = false;
      std::copy_n(y, n_, w_.x_.begin());
      return status;
    }
    double step = 1.0;
    if (has_start && round >= kPlainRounds) step = find_line_minimum(y);
    for (int i = 0; i < n_; ++i) w_.x_[at(i)] = step == 1.0 ? y[i] : w_.x_[at(i)] + step * (y[i] - w_.x_[at(i)]);
    has_start = true;
    keep_working_set();
    if (!update_sides() && step == 1.0) return Status::kSolved;
  }
  return Status::kLimitReached;
}

double DistributionSolver::keep_curvature() {
  // A curvature must not push any more at the solution, else it belonged to another direction.
  double turn = 0.0;
  for (int i = 0; i < n_curved_; ++i) {
    const auto& [p, weight, b] = w_.curvature_[at(i)];
    const Vec3 f_t = find_tangential(p);
    turn = std::max(turn, weight * std::abs(b.dot(f_t)) / (1.0 + weight * f_t.norm()));
  }
  n_curved_ = 0;
  w_.warm_rows_.clear();
  std::array<double, kMaxPoints> push{};
  std::array<int, kMaxPoints> n_planes{};
  for (int i = 0; i < w_.qp_.n_active(); ++i)
    if (w_.qp_.tag(i).kind == RowTag::Kind::kCone) ++n_planes[at(w_.qp_.tag(i).index)];
  is_apex_.fill(false);
  for (int i = 0; i < w_.qp_.n_active(); ++i) {
    const RowTag& tag = w_.qp_.tag(i);
    if (tag.kind == RowTag::Kind::kEquality) continue;
    const bool is_cone = tag.kind == RowTag::Kind::kCone;
    const Vec3 f_t = is_cone ? find_tangential(tag.index) : Vec3::Zero();
    const double size = f_t.norm();
    if (is_cone && (size < kApex || (n_planes[at(tag.index)] > 1 && size < kNearApex))) is_apex_[at(tag.index)] = true;
    if (!is_cone || is_apex_[at(tag.index)]) {
      w_.warm_rows_.push_back(tag);
      continue;
    }
    const Vec3 t = f_t / size;
    turn = std::max(turn, (t - tag.t_W).norm());
    if (push[at(tag.index)] == 0.0) {
      RowTag plane = tag;
      plane.t_W = t;
      w_.warm_rows_.push_back(plane);
      curved_[at(n_curved_++)] = tag.index;
    }
    push[at(tag.index)] += w_.qp_.multiplier(i) + 1e-300;
  }
  for (int i = 0; i < n_curved_; ++i) {
    const int p = curved_[at(i)];
    const Vec3 f_t = find_tangential(p);
    w_.curvature_[at(i)] = {p, push[at(p)] / f_t.norm(), capacity_of(p).normal.cross(f_t).normalized()};
  }
  w_.n_curved_ = n_curved_;
  remember();
  return turn;
}

void DistributionSolver::keep_working_set() {
  w_.warm_rows_.clear();
  for (int i = 0; i < w_.qp_.n_active(); ++i)
    if (w_.qp_.tag(i).kind != RowTag::Kind::kEquality) w_.warm_rows_.push_back(w_.qp_.tag(i));
  remember();
  w_.n_curved_ = 0;
}

void DistributionSolver::remember() {
  w_.is_warm_ = true;
  w_.warm_n_force_ = n_;
  w_.warm_n_torque_ = problem_.n_torque_rows;
}

double DistributionSolver::find_line_minimum(const double* y) {
  std::array<double, kMaxForce> way{};
  for (int i = 0; i < n_; ++i) way[at(i)] = y[i] - w_.x_[at(i)];
  const auto slope = [&](double a) {
    double sum = 0.0;
    for (const Contact& contact : problem_.contacts) {
      const double weight = contact.n_points * (unit_ / contact.scale_N) * (unit_ / contact.scale_N);
      for (int i = 3 * contact.first_point; i < 3 * (contact.first_point + contact.n_points); ++i)
        sum += weight * (w_.x_[at(i)] + a * way[at(i)]) * way[at(i)];
    }
    for (int j = 0; j < problem_.n_torque_rows; ++j) {
      const double rate = torque(j, way.data()) - w_.torque_offsets_[at(j)];
      const double tau = torque(j, w_.x_.data()) + a * rate;
      const double limit = tau >= 0.0 ? w_.upper_[at(j)] : w_.lower_[at(j)];
      sum += tau / limit * (rate / limit);
    }
    if (is_exact()) return sum;
    for (std::size_t k = 0; k < 6; ++k) {
      const double* row = w_.equilibrium_.rows[k].data();
      const double rate = dot(row, way.data(), n_);
      sum += options_.soft_weight * (dot(row, w_.x_.data(), n_) + a * rate - target(k)) * rate;
    }
    return sum;
  };
  if (slope(1.0) <= 0.0) return 1.0;
  double low = 0.0;
  double high = 1.0;
  for (int i = 0; i < 50; ++i) {
    const double middle = 0.5 * (low + high);
    (slope(middle) <= 0.0 ? low : high) = middle;
  }
  return low;
}

bool DistributionSolver::factorise() {
  DualActiveSet& qp = w_.qp_;
  std::array<Eigen::Matrix3d, kMaxPoints> kept;
  for (int i = 0; i < n_curved_; ++i) {
    const auto& [p, weight, b] = w_.curvature_[at(i)];
    for (int k = 0; k < 3; ++k)
      for (int j = 0; j <= k; ++j) kept[at(i)](k, j) = qp.hessian_row(3 * p + k)[3 * p + j];
    qp.add_rank_one(weight, {b.data(), 3 * p, 3});
  }
  const bool is_definite = qp.factorise();
  for (int i = 0; i < n_curved_; ++i) {
    const int p = w_.curvature_[at(i)].point;
    for (int k = 0; k < 3; ++k)
      for (int j = 0; j <= k; ++j) qp.hessian_row(3 * p + k)[3 * p + j] = kept[at(i)](k, j);
  }
  return is_definite;
}

Status DistributionSolver::solve_quadratic(Distribution& result) {
  DualActiveSet& qp = w_.qp_;
  if (!factorise()) return Status::kLimitReached;
  std::array<bool, 6> is_dependent{};
  if (is_exact()) {
    for (std::size_t k = 0; k < 6; ++k) {
      const RowTag tag{RowTag::Kind::kEquality, static_cast<int>(k), 0, Vec3::Zero()};
      is_dependent[k] = !qp.append({w_.equilibrium_.rows[k].data(), 0, n_}, target(k), tag);
    }
  }
  if (can_start_warm()) {
    for (RowTag tag : w_.warm_rows_) {
      double b = 0.0;
      const RowView row = make_row(tag, b);
      if (row.count > 0) static_cast<void>(qp.append(row, b, tag));
    }
  }
  qp.settle();
  // A dependent equation is either implied by the others or contradicts them.
  for (std::size_t k = 0; k < 6; ++k)
    if (is_dependent[k] &&
        std::abs(dot(w_.equilibrium_.rows[k].data(), qp.x(), n_) - target(k)) > kDistributionTolerance)
      return Status::kInfeasible;
  bool is_refined = false;
  for (int i = 0; i < kMaxRows; ++i) {
    RowTag tag;
    if (!find_most_violated(qp.x(), tag)) {
      if (is_refined) return Status::kSolved;
      qp.settle();  // removes the rounding of the steps
      is_refined = true;
      continue;
    }
    is_refined = false;
    ++result.iterations;
    double b = 0.0;
    const RowView row = make_row(tag, b);
    if (qp.add_violated(row, b, tag) == DualActiveSet::Step::kInfeasible) return Status::kInfeasible;
  }
  return Status::kLimitReached;
}

void DistributionSolver::finish(Distribution& result) const {
  result.forces.resize(n_);
  for (int i = 0; i < n_; ++i) result.forces[i] = unit_ * w_.x_[at(i)];
  calc_torques(problem_, result.forces, result.torques);
  const Residual residual = find_residual(problem_, result.forces);
  result.residual_N = residual.force_N;
  result.residual_Nm = residual.moment_Nm;

  result.cost = 0.0;
  for (const Contact& contact : problem_.contacts)
    for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p)
      result.cost +=
          0.5 * contact.n_points * result.forces.segment<3>(3 * p).squaredNorm() / (contact.scale_N * contact.scale_N);
  result.torque_dual.resize(problem_.n_torque_rows);
  for (int j = 0; j < problem_.n_torque_rows; ++j) {
    const double tau = result.torques[j];
    const double limit = tau >= 0.0 ? w_.upper_[at(j)] : w_.lower_[at(j)];
    result.cost += 0.5 * (tau / limit) * (tau / limit);
    result.torque_dual[j] = tau / (limit * limit);
  }
  result.force_dual.setZero();
  result.moment_dual.setZero();
  for (int i = 0; i < w_.qp_.n_active(); ++i) add_multiplier(w_.qp_.tag(i), w_.qp_.multiplier(i), result);
  if (!is_exact()) {
    for (int k = 0; k < 6; ++k) {
      const double r = dot(w_.equilibrium_.rows[at(k)].data(), w_.x_.data(), n_) - target(at(k));
      result.cost += 0.5 * options_.soft_weight * r * r;
      if (k < 3) {
        result.force_dual[k] = options_.soft_weight * r / unit_;
      } else {
        result.moment_dual[k - 3] = options_.soft_weight * r / (unit_ * problem_.length_m);
      }
    }
  }
}

Distribution solve_distribution(const StaticsProblem& problem, const DistributionOptions& options,
                                DistributionWorkspace& workspace) {
  return DistributionSolver(problem, options, workspace).solve();
}

}  // namespace steepwright::statics
