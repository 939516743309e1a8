#include "engine/statics/distribution.h"

#include "engine/statics/dense.h"

#include <algorithm>
#include <cmath>

namespace steepwright::statics {

namespace {

// Violations below this, in body weights (cones) or shares of the limit (torques), are rounding: 7e-7 N.
constexpr double kTolerance = 1e-9;
// A limit below this carries nothing; it keeps (tau / limit)^2 finite. Nm.
constexpr double kLeastLimit = 1e-3;
// A torque this small against its limit has no side.
constexpr double kNoSide = 1e-9;
// Sides agree after 1 to 4 rounds; from this round on steps are searched along the line, which cannot cycle.
constexpr int kPlainRounds = 6;
constexpr int kMaxRounds = 40;
constexpr int kMaxRows = 600;
constexpr int kNewtonRounds = 15;
// Newton's planes are final when they turn by less than this: the next turn would be its square.
constexpr double kTurn = 3e-5;
// A tangential force beyond the cone by this factor (0.6 rad off its plane) gets a second plane within a Newton round.
constexpr double kCoarse = 1.2;
// A tangential force this small, in body weights, has no direction: the apex is held by planes alone.
constexpr double kApex = 1e-6;
// Nor has one this small that several planes hold: it may be on its way to the apex.
constexpr double kNearApex = 1e-2;
// Penalty that stands in for "least residual" when equilibrium is impossible.
constexpr double kLeastResidualWeight = 1e8;

std::size_t at(int i) { return static_cast<std::size_t>(i); }

}  // namespace

/// One solve. Forces are in body weights here.
class DistributionSolver {
 public:
  DistributionSolver(const StaticsProblem& problem, const DistributionOptions& options,
                     DistributionWorkspace& workspace)
      : problem_(problem), options_(options), w_(workspace), unit_(find_force_unit(problem)), n_(problem.n_force()) {}

  Distribution solve() {
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

 private:
  [[nodiscard]] bool is_exact() const { return options_.equilibrium == DistributionOptions::Equilibrium::kExact; }
  [[nodiscard]] bool can_start_warm() const {
    return w_.is_warm_ && w_.warm_n_force_ == n_ && w_.warm_n_torque_ == problem_.n_torque_rows;
  }
  [[nodiscard]] double effort() const { return options_.effort_bound > 0.0 ? options_.effort_bound : 1.0; }
  /// Row j of the torque map where it is not zero.
  [[nodiscard]] RowView torque_row(int j) const {
    const auto [first, count] = w_.torque_ranges_[at(j)];
    return {&w_.torque_rows_[at(j * kMaxForce + first)], first, count};
  }
  [[nodiscard]] double torque_weight(int j) const {
    const double limit = w_.is_upper_[at(j)] ? w_.upper_[at(j)] : w_.lower_[at(j)];
    return 1.0 / (limit * limit);
  }
  [[nodiscard]] double torque(int j, const double* x) const {
    const RowView row = torque_row(j);
    return w_.torque_offsets_[at(j)] + dot(row.values, x + row.first, row.count);
  }

  void load() {
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

  /// Objective of the present sides.
  void build_objective() {
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

  void add_torque(int j, double weight) {
    const RowView row = torque_row(j);
    w_.qp_.add_rank_one(weight, row);
    add_scaled(weight * w_.torque_offsets_[at(j)], row.values, w_.qp_.gradient() + row.first, row.count);
  }

  [[nodiscard]] double target(std::size_t row) const {
    return row == 2 ? problem_.weight_N / unit_ : EquilibriumRows::kTarget[row];
  }

  Status search(Distribution& result) {
    build_objective();
    is_newton_ = true;
    const Status status = search_newton(result);
    if (status != Status::kLimitReached) return status;
    is_newton_ = false;
    n_curved_ = 0;
    return search_cuts(result);
  }

  /// Newton rounds on sliding cones: each has one tangent plane and the cone's curvature in H (the Lagrangian's second
  /// derivative), so that the rounds converge quadratically where cuts alone would take tens. All planes hold for the
  /// cone itself, so a contradiction is a proof.
  Status search_newton(Distribution& result) {
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

  /// Remembers the working set with one plane per sliding cone, tangent where its force is now, and the curvatures.
  /// Returns the largest angle between these planes and the ones before.
  double keep_curvature() {
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
      if (is_cone && (size < kApex || (n_planes[at(tag.index)] > 1 && size < kNearApex)))
        is_apex_[at(tag.index)] = true;
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

  /// Tangential part of the force on a point, from x_.
  [[nodiscard]] Vec3 find_tangential(int point) const {
    const Vec3& normal = capacity_of(point).normal;
    const Vec3 f(w_.x_[at(3 * point)], w_.x_[at(3 * point + 1)], w_.x_[at(3 * point + 2)]);
    return f - normal.dot(f) * normal;
  }

  void remember() {
    w_.is_warm_ = true;
    w_.warm_n_force_ = n_;
    w_.warm_n_torque_ = problem_.n_torque_rows;
  }

  /// The same by planes alone: slower, but each step is a proven gain. Re-solves until every torque is on the side
  /// whose limit was used.
  Status search_cuts(Distribution& result) {
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

  /// Sets the sides by x_; H and g follow. True when one changed.
  bool update_sides() {
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

  /// Minimum over [0, 1] of the true (two-sided) cost from x_ to y: the root of its slope, which grows along the line.
  [[nodiscard]] double find_line_minimum(const double* y) {
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

  void keep_working_set() {
    w_.warm_rows_.clear();
    for (int i = 0; i < w_.qp_.n_active(); ++i)
      if (w_.qp_.tag(i).kind != RowTag::Kind::kEquality) w_.warm_rows_.push_back(w_.qp_.tag(i));
    remember();
    w_.n_curved_ = 0;
  }

  /// Factorises H with the curvatures of the sliding cones on top; H itself stays the objective's.
  [[nodiscard]] bool factorise() {
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

  /// The convex quadratic program of the present sides: equalities and remembered rows first, then violated rows.
  Status solve_quadratic(Distribution& result) {
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
      if (is_dependent[k] && std::abs(dot(w_.equilibrium_.rows[k].data(), qp.x(), n_) - target(k)) > kTolerance)
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

  [[nodiscard]] const CapacitySet& capacity_of(int point) const {
    for (const Contact& contact : problem_.contacts)
      if (point < contact.first_point + contact.n_points) return contact.capacity;
    return problem_.contacts.back().capacity;
  }

  /// The row n . x >= b that a tag names, in w_.row_ or the torque rows. Empty for a tag that does not fit the problem.
  RowView make_row(RowTag& tag, double& b) {
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

  [[nodiscard]] double find_torque_scale(int j) const { return std::max(w_.lower_[at(j)], w_.upper_[at(j)]); }

  /// The constraint that x violates most, cones as the half-space tangent at x. False when none is.
  [[nodiscard]] bool find_most_violated(const double* x, RowTag& worst) const {
    using Kind = RowTag::Kind;
    double most = kTolerance;
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
    if (options_.effort_bound <= 0.0) return most > kTolerance;
    for (int j = 0; j < problem_.n_torque_rows; ++j) {
      const double tau = torque(j, x);
      offer((tau - w_.upper_[at(j)]) / find_torque_scale(j), Kind::kTorqueUpper, j, 0);
      offer((-tau - w_.lower_[at(j)]) / find_torque_scale(j), Kind::kTorqueLower, j, 0);
    }
    return most > kTolerance;
  }

  void finish(Distribution& result) const {
    result.forces.resize(n_);
    for (int i = 0; i < n_; ++i) result.forces[i] = unit_ * w_.x_[at(i)];
    calc_torques(problem_, result.forces, result.torques);
    const Residual residual = find_residual(problem_, result.forces);
    result.residual_N = residual.force_N;
    result.residual_Nm = residual.moment_Nm;

    result.cost = 0.0;
    for (const Contact& contact : problem_.contacts)
      for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p)
        result.cost += 0.5 * contact.n_points * result.forces.segment<3>(3 * p).squaredNorm() /
                       (contact.scale_N * contact.scale_N);
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
        (k < 3 ? result.force_dual[k] : result.moment_dual[k - 3]) = options_.soft_weight * r / unit_;
      }
    }
  }

  void add_multiplier(const RowTag& tag, double multiplier, Distribution& result) const {
    switch (tag.kind) {
      case RowTag::Kind::kEquality:
        (tag.index < 3 ? result.force_dual[tag.index] : result.moment_dual[tag.index - 3]) = -multiplier / unit_;
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

  const StaticsProblem& problem_;
  DistributionOptions options_;
  DistributionWorkspace& w_;
  double unit_;
  int n_;
  bool is_newton_ = true;
  int n_curved_ = 0;
  std::array<int, kMaxPoints> curved_{};
  std::array<bool, kMaxPoints> is_apex_{};
};

Distribution solve_distribution(const StaticsProblem& problem, const DistributionOptions& options,
                                DistributionWorkspace& workspace) {
  return DistributionSolver(problem, options, workspace).solve();
}

}  // namespace steepwright::statics
