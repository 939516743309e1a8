#include "engine/posture/step.h"

#include "engine/statics/dense.h"

#include <algorithm>
#include <cmath>

namespace steepwright::posture {

namespace {

/// Slack below which a bound or a one-sided row counts as met, rad or m.
constexpr double kFeasible = 1e-10;

/// Bounds of a hinge's step; a hinge that is outside its range is led back.
struct StepBound {
  double lower, upper;
};

StepBound bound_of(const body::Tree& tree, const body::Posture& posture, int hinge) {
  const body::Hinge& h = tree.hinges[static_cast<std::size_t>(hinge)];
  return {h.lower - posture.angles[hinge], h.upper - posture.angles[hinge]};
}

class StepSolver {
 public:
  StepSolver(const body::Tree& tree, const body::Posture& posture, const Rows& rows, const body::DofVector& wish,
             const StepParams& params, StepWorkspace& ws)
      : tree_(tree), posture_(posture), rows_(rows), wish_(wish), params_(params), ws_(ws), n_(tree.n_dof()) {}

  body::DofVector solve() {
    start();
    for (int round = 0; round < params_.max_rounds; ++round) {
      solve_active();
      // The last rounds only add, so that a cycle ends with everything that was ever violated kept.
      if (!update_active(round < params_.max_rounds - 3)) break;
    }
    clamp();
    return d_;
  }

 private:
  void start() {
    ws_.fixed.fill(0);
    ws_.n_active = 0;
    free_.setOnes(n_);
    d_ = wish_;
    for (int h = 0; h < tree_.n_hinges(); ++h) {
      const StepBound bound = bound_of(tree_, posture_, h);
      if (bound.lower > -kFeasible && wish_[6 + h] <= bound.lower) mark_fixed(h, -1);
      if (bound.upper < kFeasible && wish_[6 + h] >= bound.upper) mark_fixed(h, 1);
    }
    for (int r = 0; r < rows_.n(); ++r) {
      ws_.is_active[static_cast<std::size_t>(r)] = false;
      if (r < rows_.n_equality || rows_.value[r] < 0.0) add_row(r);
    }
  }

  [[nodiscard]] const double* row(int r) const { return &rows_.A(r, 0); }

  // ---- the two sets; `gram` follows every change ----

  void mark_fixed(int h, signed char side) {
    ws_.fixed[static_cast<std::size_t>(6 + h)] = side;
    free_[6 + h] = side == 0 ? 1.0 : 0.0;
  }

  void set_fixed(int h, signed char side) {
    mark_fixed(h, side);
    // The column leaves (or joins) the free ones.
    const double sign = side == 0 ? 1.0 : -1.0;
    for (int i = 0; i < ws_.n_active; ++i) {
      const double a = sign * rows_.A(ws_.order[static_cast<std::size_t>(i)], 6 + h);
      if (a == 0.0) continue;
      for (int j = 0; j <= i; ++j) ws_.gram(i, j) += a * rows_.A(ws_.order[static_cast<std::size_t>(j)], 6 + h);
    }
  }

  void add_row(int r) {
    const int m = ws_.n_active++;
    ws_.is_active[static_cast<std::size_t>(r)] = true;
    ws_.order[static_cast<std::size_t>(m)] = r;
    for (int k = 0; k < n_; ++k) masked_[k] = free_[k] * rows_.A(r, k);
    for (int j = 0; j <= m; ++j) {
      ws_.gram(m, j) = statics::dot(row(ws_.order[static_cast<std::size_t>(j)]), masked_.data(), n_);
    }
  }

  /// The last row takes the place of the dropped one.
  void drop_row(int i) {
    const int last = --ws_.n_active;
    ws_.is_active[static_cast<std::size_t>(ws_.order[static_cast<std::size_t>(i)])] = false;
    ws_.order[static_cast<std::size_t>(i)] = ws_.order[static_cast<std::size_t>(last)];
    for (int j = 0; j < i; ++j) ws_.gram(i, j) = ws_.gram(last, j);
    ws_.gram(i, i) = ws_.gram(last, last);
    for (int j = i + 1; j < last; ++j) ws_.gram(j, i) = ws_.gram(last, j);
  }

  // ---- one round ----

  /// d on the present active set: fixed hinges at their bounds, active rows as equations.
  void solve_active() {
    d_ = wish_;
    for (int h = 0; h < tree_.n_hinges(); ++h) {
      const signed char side = ws_.fixed[static_cast<std::size_t>(6 + h)];
      if (side == 0) continue;
      const StepBound bound = bound_of(tree_, posture_, h);
      d_[6 + h] = side < 0 ? bound.lower : bound.upper;
    }
    const int m = ws_.n_active;
    for (int i = 0; i < m; ++i) {
      const int r = ws_.order[static_cast<std::size_t>(i)];
      ws_.rhs[i] = -rows_.value[r] - statics::dot(row(r), d_.data(), n_);
    }
    solve_gram(m);
    step_.setZero(n_);
    for (int r = 0; r < rows_.n(); ++r) ws_.multiplier[r] = 0.0;
    for (int i = 0; i < m; ++i) {
      const int r = ws_.order[static_cast<std::size_t>(i)];
      ws_.multiplier[r] = ws_.rhs[i];
      statics::add_scaled(ws_.rhs[i], row(r), step_.data(), n_);
    }
    // step_ keeps A^T lambda for all columns: the fixed ones tell the sign of their own multiplier.
    d_ += step_.cwiseProduct(free_);
  }

  /// Solves (gram + damping) rhs by Cholesky; pivots that vanish (redundant rows) get a zero multiplier.
  void solve_gram(int m) {
    auto& L = ws_.factor;
    auto& b = ws_.rhs;
    double trace = 0.0;
    double largest = 0.0;
    for (int i = 0; i < m; ++i) {
      trace += ws_.gram(i, i);
      largest = std::max(largest, ws_.gram(i, i));
    }
    const double damping = m > 0 ? params_.damping * trace / m : 0.0;
    const double tiny = 1e-12 * largest;
    for (int i = 0; i < m; ++i) {
      double* Li = &L(i, 0);
      for (int j = 0; j < i; ++j) {
        const double* Lj = &L(j, 0);
        Li[j] = (ws_.gram(i, j) - statics::dot(Li, Lj, j)) * inverse_diagonal_[j];
      }
      const double pivot = ws_.gram(i, i) + damping - statics::dot(Li, Li, i);
      inverse_diagonal_[i] = pivot > tiny ? 1.0 / std::sqrt(pivot) : 0.0;
      b[i] = (b[i] - statics::dot(Li, b.data(), i)) * inverse_diagonal_[i];
    }
    for (int i = m - 1; i >= 0; --i) {
      b[i] *= inverse_diagonal_[i];
      statics::add_scaled(-b[i], &L(i, 0), b.data(), i);
    }
  }

  /// Adds what is violated, drops what pulls the wrong way; true when something changed.
  bool update_active(bool may_drop) {
    const bool hinges_changed = update_fixed(may_drop);
    bool changed = false;
    if (may_drop) {
      for (int i = ws_.n_active - 1; i >= 0; --i) {
        const int r = ws_.order[static_cast<std::size_t>(i)];
        if (r < rows_.n_equality || ws_.multiplier[r] >= 0.0) continue;
        dropped_[static_cast<std::size_t>(n_dropped_++)] = r;
        drop_row(i);
        changed = true;
      }
    }
    for (int r = rows_.n_equality; r < rows_.n(); ++r) {
      if (ws_.is_active[static_cast<std::size_t>(r)] || was_dropped_now(r)) continue;
      if (rows_.value[r] + statics::dot(row(r), d_.data(), n_) >= -kFeasible) continue;
      add_row(r);
      changed = true;
    }
    n_dropped_ = 0;
    return changed || hinges_changed;
  }

  [[nodiscard]] bool was_dropped_now(int r) const {
    return std::find(dropped_.begin(), dropped_.begin() + n_dropped_, r) != dropped_.begin() + n_dropped_;
  }

  bool update_fixed(bool may_drop) {
    bool changed = false;
    for (int h = 0; h < tree_.n_hinges(); ++h) {
      const signed char side = ws_.fixed[static_cast<std::size_t>(6 + h)];
      const StepBound bound = bound_of(tree_, posture_, h);
      if (side == 0) {
        const signed char beyond = d_[6 + h] < bound.lower - kFeasible   ? static_cast<signed char>(-1)
                                   : d_[6 + h] > bound.upper + kFeasible ? static_cast<signed char>(1)
                                                                         : static_cast<signed char>(0);
        if (beyond == 0) continue;
        set_fixed(h, beyond);
        changed = true;
      } else if (may_drop) {
        // Where the free optimum of this hinge would go: beyond the bound keeps it fixed.
        const double wished = wish_[6 + h] + step_[6 + h];
        const bool stays = side < 0 ? wished <= bound.lower + kFeasible : wished >= bound.upper - kFeasible;
        if (stays) continue;
        set_fixed(h, 0);
        changed = true;
      }
    }
    return changed;
  }

  void clamp() {
    for (int h = 0; h < tree_.n_hinges(); ++h) {
      const StepBound bound = bound_of(tree_, posture_, h);
      d_[6 + h] = std::clamp(d_[6 + h], bound.lower, bound.upper);
    }
  }

  const body::Tree& tree_;
  const body::Posture& posture_;
  const Rows& rows_;
  const body::DofVector& wish_;
  const StepParams& params_;
  StepWorkspace& ws_;
  const int n_;
  body::DofVector d_, step_, free_;
  Eigen::Matrix<double, body::kMaxDof, 1> masked_;
  Eigen::Matrix<double, kMaxRows, 1> inverse_diagonal_;
  std::array<int, kMaxRows> dropped_{};
  int n_dropped_ = 0;
};

}  // namespace

body::DofVector solve_step(const body::Tree& tree, const body::Posture& posture, const Rows& rows,
                           const body::DofVector& wish, const StepParams& params, StepWorkspace& workspace) {
  return StepSolver(tree, posture, rows, wish, params, workspace).solve();
}

}  // namespace steepwright::posture
