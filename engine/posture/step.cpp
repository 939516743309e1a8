#include "engine/posture/step.h"

#include "engine/statics/dense.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <limits>

namespace steepwright::posture {

namespace {

/// Slack below which a bound or a one-sided row counts as met, rad or Body::scale.
constexpr double kFeasible = 1e-10;

// ---- loops over whole fours: entries `first` rounded down .. n rounded up ----

// 16: without AVX, Eigen aligns its storage no further.
using Four = Eigen::Map<Eigen::Array4d, Eigen::Aligned16>;
using ConstFour = Eigen::Map<const Eigen::Array4d, Eigen::Aligned16>;

constexpr int start_of_four(int i) { return i & ~3; }

/// y -= factor x.
inline void subtract_scaled(double factor, const double* x, double* y, int first, int n) {
  for (int k = start_of_four(first); k < n; k += 4) Four(y + k) -= factor * ConstFour(x + k);
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
    lower_.setConstant(n_, -std::numeric_limits<double>::infinity());
    upper_.setConstant(n_, std::numeric_limits<double>::infinity());
    is_free_ = ~DofSet{0};
    is_wish_zero_ = (wish_.array() == 0.0).all();
    for (int h = 0; h < tree_.n_hinges(); ++h) {
      const body::Hinge& hinge = tree_.hinges[static_cast<std::size_t>(h)];
      lower_[6 + h] = hinge.lower - posture_.angles[h];
      upper_[6 + h] = hinge.upper - posture_.angles[h];
      if (lower_[6 + h] > -kFeasible && wish_[6 + h] <= lower_[6 + h]) mark_fixed(h, -1);
      if (upper_[6 + h] < kFeasible && wish_[6 + h] >= upper_[6 + h]) mark_fixed(h, 1);
    }
    for (int r = 0; r < rows_.n(); ++r) {
      const bool is_active = r < rows_.n_equality || rows_.value[r] < 0.0;
      ws_.is_active[static_cast<std::size_t>(r)] = is_active;
      if (is_active) ws_.order[static_cast<std::size_t>(ws_.n_active++)] = r;
    }
    fill_gram();
  }

  /// All of `gram` at once, in tiles of two rows by four columns, through the free degrees of freedom that both sides
  /// feel: two limbs share little but the root.
  void fill_gram() {
    const int m = ws_.n_active;
    gather_columns(m);
    for (int i = 0; i < m; i += 2) {
      // Past the last row an odd one stands in for its own partner.
      const int partner = std::min(i + 1, m - 1);
      const double* a0 = row(row_at(i));
      const double* a1 = row(row_at(partner));
      const DofSet support = free_support(row_at(i)) | free_support(row_at(partner));
      for (int j = start_of_four(i); j < m; j += 4) {
        Eigen::Array4d sum0 = Eigen::Array4d::Zero();
        Eigen::Array4d sum1 = Eigen::Array4d::Zero();
        const double* columns = columns_of_four(j / 4);
        for (DofSet left = support & support_of_four_[static_cast<std::size_t>(j / 4)]; left != 0; left &= left - 1) {
          const int c = std::countr_zero(left);
          const ConstFour column(columns + 4 * c);
          sum0 += a0[c] * column;
          sum1 += a1[c] * column;
        }
        Four(&ws_.gram(i, j)) = sum0;
        Four(&ws_.gram(i + 1, j)) = sum1;
      }
    }
  }

  /// The active rows by column, four rows together, for the columns that one of the four feels. The last row fills up
  /// the last four.
  void gather_columns(int m) {
    for (int i = 0; i < m; i += 4) {
      std::array<const double*, 4> a{};
      DofSet support = 0;
      for (int k = 0; k < 4; ++k) {
        const int r = row_at(std::min(i + k, m - 1));
        a[static_cast<std::size_t>(k)] = row(r);
        support |= free_support(r);
      }
      support_of_four_[static_cast<std::size_t>(i / 4)] = support;
      double* columns = columns_of_four(i / 4);
      for (DofSet left = support; left != 0; left &= left - 1) {
        const int c = std::countr_zero(left);
        for (std::size_t k = 0; k < 4; ++k) columns[4 * c + static_cast<int>(k)] = a[k][c];
      }
    }
  }

  [[nodiscard]] double* columns_of_four(int four) { return &ws_.columns[4 * body::kMaxDof * four]; }
  [[nodiscard]] const double* row(int r) const { return &rows_.A(r, 0); }
  /// Row of `rows_` that is i-th in `gram`.
  [[nodiscard]] int row_at(int i) const { return ws_.order[static_cast<std::size_t>(i)]; }
  [[nodiscard]] DofSet free_support(int r) const { return rows_.support[static_cast<std::size_t>(r)] & is_free_; }

  // ---- the two sets; `gram` follows every change ----

  void mark_fixed(int h, signed char side) {
    ws_.fixed[static_cast<std::size_t>(6 + h)] = side;
    free_[6 + h] = side == 0 ? 1.0 : 0.0;
    const DofSet bit = DofSet{1} << static_cast<unsigned>(6 + h);
    is_free_ = side == 0 ? is_free_ | bit : is_free_ & ~bit;
  }

  void set_fixed(int h, signed char side) {
    mark_fixed(h, side);
    // The column leaves (or joins) the free ones.
    const double sign = side == 0 ? 1.0 : -1.0;
    for (int i = 0; i < ws_.n_active; ++i) {
      const double a = sign * rows_.A(row_at(i), 6 + h);
      if (a == 0.0) continue;
      for (int j = i; j < ws_.n_active; ++j) ws_.gram(i, j) += a * rows_.A(row_at(j), 6 + h);
    }
  }

  void add_row(int r) {
    const int m = ws_.n_active++;
    ws_.is_active[static_cast<std::size_t>(r)] = true;
    ws_.order[static_cast<std::size_t>(m)] = r;
    for (int k = 0; k < n_; ++k) masked_[k] = free_[k] * rows_.A(r, k);
    // The fours that begin here; those of earlier columns are set.
    Four(&ws_.gram(m, start_of_four(m))).setZero();
    for (int j = 0; j < m && start_of_four(m) == m; ++j) Four(&ws_.gram(j, m)).setZero();
    for (int j = 0; j <= m; ++j) ws_.gram(j, m) = statics::dot(row(row_at(j)), masked_.data(), n_);
  }

  /// The last row takes the place of the dropped one.
  void drop_row(int i) {
    const int last = --ws_.n_active;
    ws_.is_active[static_cast<std::size_t>(row_at(i))] = false;
    ws_.order[static_cast<std::size_t>(i)] = row_at(last);
    for (int j = 0; j < i; ++j) ws_.gram(j, i) = ws_.gram(j, last);
    ws_.gram(i, i) = ws_.gram(last, last);
    for (int j = i + 1; j < last; ++j) ws_.gram(i, j) = ws_.gram(j, last);
  }

  // ---- one round ----

  /// d on the present active set: fixed hinges at their bounds, active rows as equations.
  void solve_active() {
    d_ = wish_;
    for (DofSet fixed = ~is_free_; fixed != 0; fixed &= fixed - 1) {
      const int i = std::countr_zero(fixed);
      d_[i] = ws_.fixed[static_cast<std::size_t>(i)] < 0 ? lower_[i] : upper_[i];
    }
    const int m = ws_.n_active;
    for (int i = 0; i < m; ++i) {
      const int r = row_at(i);
      ws_.rhs[i] = -rows_.value[r];
      // From the wish 0, d has only what the fixed hinges put in.
      const bool feels_d = !is_wish_zero_ || (rows_.support[static_cast<std::size_t>(r)] & ~is_free_) != 0;
      if (feels_d) ws_.rhs[i] -= statics::dot(row(r), d_.data(), n_);
    }
    solve_gram(m);
    std::fill_n(ws_.multiplier.data(), rows_.n(), 0.0);
    for (int i = 0; i < m; ++i) ws_.multiplier[row_at(i)] = ws_.rhs[i];
    combine_rows(m);
    d_ += step_.cwiseProduct(free_);
  }

  /// step_ = A^T lambda of the active rows, also where a hinge is fixed: there it tells the sign of the hinge's own
  /// multiplier.
  void combine_rows(int m) {
    step_.setZero(n_);
    double* y = step_.data();
    int i = 0;
    for (; i + 4 <= m; i += 4) add_four_rows(i, y);
    for (; i < m; ++i) statics::add_scaled(ws_.rhs[i], row(row_at(i)), y, n_);
  }

  /// Four rows a pass: a quarter of the traffic on y.
  void add_four_rows(int i, double* __restrict y) const {
    const double *a = row(row_at(i)), *b = row(row_at(i + 1)), *c = row(row_at(i + 2)), *d = row(row_at(i + 3));
    const double p = ws_.rhs[i], q = ws_.rhs[i + 1], r = ws_.rhs[i + 2], s = ws_.rhs[i + 3];
    for (int k = 0; k < n_; ++k) y[k] += (p * a[k] + q * b[k]) + (r * c[k] + s * d[k]);
  }

  /// Puts the solution of (gram + damping) x = rhs in the place of rhs, by Cholesky without roots: row i of `factor` is
  /// row i of the upper half once all rows above are eliminated. Pivots that vanish (redundant rows) get 0.
  void solve_gram(int m) {
    double trace = 0.0;
    double largest = 0.0;
    for (int i = 0; i < m; ++i) {
      trace += ws_.gram(i, i);
      largest = std::max(largest, ws_.gram(i, i));
    }
    const double damping = m > 0 ? params_.damping * trace / m : 0.0;
    const double tiny = 1e-12 * largest;
    for (int i = 0; i < m; ++i) {
      for (int k = start_of_four(i); k < m; k += 4) Four(&ws_.factor(i, k)) = ConstFour(&ws_.gram(i, k));
    }
    double* b = ws_.rhs.data();
    for (int i = 0; i < m; ++i) {
      const double* u = &ws_.factor(i, 0);
      const double pivot = u[i] + damping;
      const double inverse = pivot > tiny ? 1.0 / pivot : 0.0;
      inverse_pivot_[i] = inverse;
      eliminate_below(i, inverse, m);
      // Spoils entries of b up to i that share a four with those below, hence the copy.
      eliminated_[i] = b[i];
      subtract_scaled(b[i] * inverse, u, b, i + 1, m);
    }
    // By columns: entry by entry in whole fours would wait for each other's stores.
    for (int i = m - 1; i >= 0; --i) {
      b[i] = eliminated_[i] * inverse_pivot_[i];
      for (int j = 0; j < i; ++j) eliminated_[j] -= ws_.factor(j, i) * b[i];
    }
  }

  /// Takes row i of `factor` off the rows below it, a four of columns after the other.
  void eliminate_below(int i, double inverse, int m) {
    const double* u = &ws_.factor(i, 0);
    for (int k = start_of_four(i + 1); k < m; k += 4) {
      const Eigen::Array4d u_k = ConstFour(u + k);
      Four(factors_.data() + k) = inverse * u_k;
      const int end = std::min(k + 4, m);
      for (int j = i + 1; j < end; ++j) Four(&ws_.factor(j, k)) -= factors_[j] * u_k;
    }
  }

  /// Adds what is violated, drops what pulls the wrong way; true when something changed.
  bool update_active(bool may_drop) {
    const bool hinges_changed = update_fixed(may_drop);
    if (rows_.n_one_sided == 0) return hinges_changed;
    bool changed = false;
    if (may_drop) {
      for (int i = ws_.n_active - 1; i >= 0; --i) {
        const int r = row_at(i);
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
    const bool none_beyond =
        (d_.array() >= lower_.array() - kFeasible && d_.array() <= upper_.array() + kFeasible).all();
    if (none_beyond && ~is_free_ == 0) return false;
    bool changed = false;
    for (int h = 0; h < tree_.n_hinges(); ++h) {
      const signed char side = ws_.fixed[static_cast<std::size_t>(6 + h)];
      const double lower = lower_[6 + h];
      const double upper = upper_[6 + h];
      if (side == 0) {
        const signed char beyond = d_[6 + h] < lower - kFeasible   ? static_cast<signed char>(-1)
                                   : d_[6 + h] > upper + kFeasible ? static_cast<signed char>(1)
                                                                   : static_cast<signed char>(0);
        if (beyond == 0) continue;
        set_fixed(h, beyond);
        changed = true;
      } else if (may_drop) {
        // Where the free optimum of this hinge would go: beyond the bound keeps it fixed.
        const double wished = wish_[6 + h] + step_[6 + h];
        const bool stays = side < 0 ? wished <= lower + kFeasible : wished >= upper - kFeasible;
        if (stays) continue;
        set_fixed(h, 0);
        changed = true;
      }
    }
    return changed;
  }

  void clamp() { d_ = d_.cwiseMax(lower_).cwiseMin(upper_); }

  const body::Tree& tree_;
  const body::Posture& posture_;
  const Rows& rows_;
  const body::DofVector& wish_;
  const StepParams& params_;
  StepWorkspace& ws_;
  const int n_;
  body::DofVector d_, step_, free_;
  Eigen::Matrix<double, body::kMaxDof, 1> masked_;
  DofSet is_free_ = 0;             ///< the same as `free_`
  body::DofVector lower_, upper_;  ///< bounds of the step, infinite for the root; a hinge outside its range is led back
  bool is_wish_zero_ = false;
  std::array<DofSet, kPaddedRows / 4> support_of_four_;
  Eigen::Matrix<double, kPaddedRows, 1> inverse_pivot_, eliminated_, factors_;
  std::array<int, kMaxRows> dropped_{};
  int n_dropped_ = 0;
};

}  // namespace

body::DofVector solve_step(const body::Tree& tree, const body::Posture& posture, const Rows& rows,
                           const body::DofVector& wish, const StepParams& params, StepWorkspace& workspace) {
  return StepSolver(tree, posture, rows, wish, params, workspace).solve();
}

void take_step(const body::Body& body, const body::DofVector& step, body::Posture& posture) {
  body::DofVector step_SI = step;
  step_SI.head<3>() *= body.scale;
  posture.step(step_SI);
}

}  // namespace steepwright::posture
