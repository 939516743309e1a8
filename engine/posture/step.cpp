#include "engine/posture/step.h"

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

/// In-place Cholesky solve of the leading n x n system; pivots that vanish (redundant rows) get a zero multiplier.
void solve_gram(StepWorkspace& ws, int n) {
  auto& G = ws.gram;
  auto& b = ws.rhs;
  double largest = 0.0;
  for (int i = 0; i < n; ++i) largest = std::max(largest, G(i, i));
  const double tiny = 1e-12 * largest;
  for (int i = 0; i < n; ++i) {
    double* gi = G.row(i).data();
    for (int j = 0; j < i; ++j) {
      const double* gj = G.row(j).data();
      double sum = gi[j];
      for (int k = 0; k < j; ++k) sum -= gi[k] * gj[k];
      gi[j] = gj[j] > 0.0 ? sum / gj[j] : 0.0;
    }
    double pivot = gi[i];
    for (int k = 0; k < i; ++k) pivot -= gi[k] * gi[k];
    gi[i] = pivot > tiny ? std::sqrt(pivot) : 0.0;
  }
  for (int i = 0; i < n; ++i) {
    const double* gi = G.row(i).data();
    double sum = b[i];
    for (int k = 0; k < i; ++k) sum -= gi[k] * b[k];
    b[i] = gi[i] > 0.0 ? sum / gi[i] : 0.0;
  }
  for (int i = n - 1; i >= 0; --i) {
    double sum = b[i];
    for (int k = i + 1; k < n; ++k) sum -= G(k, i) * b[k];
    b[i] = G(i, i) > 0.0 ? sum / G(i, i) : 0.0;
  }
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
    for (int r = 0; r < rows_.n(); ++r) {
      ws_.is_active[static_cast<std::size_t>(r)] = r < rows_.n_equality || rows_.value[r] < 0.0;
    }
    for (int h = 0; h < tree_.n_hinges(); ++h) {
      const StepBound bound = bound_of(tree_, posture_, h);
      const double wished = wish_[6 + h];
      if (bound.lower > -kFeasible && wished <= bound.lower) ws_.fixed[static_cast<std::size_t>(6 + h)] = -1;
      if (bound.upper < kFeasible && wished >= bound.upper) ws_.fixed[static_cast<std::size_t>(6 + h)] = 1;
    }
  }

  /// d on the present active set: fixed hinges at their bounds, active rows as equations.
  void solve_active() {
    d_ = wish_;
    free_.resize(n_);
    free_.setOnes();
    for (int h = 0; h < tree_.n_hinges(); ++h) {
      const signed char side = ws_.fixed[static_cast<std::size_t>(6 + h)];
      if (side == 0) continue;
      const StepBound bound = bound_of(tree_, posture_, h);
      d_[6 + h] = side < 0 ? bound.lower : bound.upper;
      free_[6 + h] = 0.0;
    }
    ws_.n_active = 0;
    for (int r = 0; r < rows_.n(); ++r) {
      ws_.multiplier[r] = 0.0;
      if (ws_.is_active[static_cast<std::size_t>(r)]) ws_.active_rows[static_cast<std::size_t>(ws_.n_active++)] = r;
    }
    const int m = ws_.n_active;
    double trace = 0.0;
    for (int i = 0; i < m; ++i) {
      const auto a = rows_.A.row(ws_.active_rows[static_cast<std::size_t>(i)]).head(n_);
      masked_.head(n_) = a.transpose().cwiseProduct(free_);
      for (int j = 0; j <= i; ++j) {
        ws_.gram(i, j) =
            rows_.A.row(ws_.active_rows[static_cast<std::size_t>(j)]).head(n_).dot(masked_.head(n_).transpose());
      }
      trace += ws_.gram(i, i);
      ws_.rhs[i] = -rows_.value[ws_.active_rows[static_cast<std::size_t>(i)]] - a.dot(d_.transpose());
    }
    const double damping = m > 0 ? params_.damping * trace / m : 0.0;
    for (int i = 0; i < m; ++i) ws_.gram(i, i) += damping;
    solve_gram(ws_, m);
    step_.setZero(n_);
    for (int i = 0; i < m; ++i) {
      const int r = ws_.active_rows[static_cast<std::size_t>(i)];
      ws_.multiplier[r] = ws_.rhs[i];
      step_ += ws_.rhs[i] * rows_.A.row(r).head(n_).transpose();
    }
    // step_ keeps A^T lambda for all columns: the fixed ones tell the sign of their own multiplier.
    d_ += step_.cwiseProduct(free_);
  }

  /// Adds what is violated, drops what pulls the wrong way; true when something changed.
  bool update_active(bool may_drop) {
    bool changed = false;
    for (int h = 0; h < tree_.n_hinges(); ++h) {
      signed char& side = ws_.fixed[static_cast<std::size_t>(6 + h)];
      const StepBound bound = bound_of(tree_, posture_, h);
      if (side == 0) {
        if (d_[6 + h] < bound.lower - kFeasible) side = -1;
        if (d_[6 + h] > bound.upper + kFeasible) side = 1;
        changed = changed || side != 0;
      } else if (may_drop) {
        // Where the free optimum of this hinge would go: beyond the bound keeps it fixed.
        const double wished = wish_[6 + h] + step_[6 + h];
        const bool stays = side < 0 ? wished <= bound.lower + kFeasible : wished >= bound.upper - kFeasible;
        if (!stays) {
          side = 0;
          changed = true;
        }
      }
    }
    for (int r = rows_.n_equality; r < rows_.n(); ++r) {
      bool& active = ws_.is_active[static_cast<std::size_t>(r)];
      if (!active) {
        active = rows_.value[r] + rows_.A.row(r).head(n_).dot(d_.transpose()) < -kFeasible;
        changed = changed || active;
      } else if (may_drop && ws_.multiplier[r] < 0.0) {
        active = false;
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
};

}  // namespace

body::DofVector solve_step(const body::Tree& tree, const body::Posture& posture, const Rows& rows,
                           const body::DofVector& wish, const StepParams& params, StepWorkspace& workspace) {
  return StepSolver(tree, posture, rows, wish, params, workspace).solve();
}

}  // namespace steepwright::posture
