#include "engine/statics/friction.h"

#include "engine/core/units.h"
#include "engine/statics/equilibrium.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::statics {

namespace {

constexpr double kRelative = 1e-7;    // of the factor
constexpr double kZeroFactor = 1e-8;  // a factor this small is none
constexpr double kLeastStart = 1e-4;
constexpr double kNoMargin = 1e-9;    // a margin this small, in body weights, is the border
constexpr double kNoLoad = 1e-4;      // a contact that carries less, in body weights, carries nothing
constexpr double kLargestStride = 8;  // factor on k between two solves
constexpr int kMaxSolves = 60;
// A solve is exact to this share of its margin: enough for sign, slope and the next step far from the root, and the
// program's full precision at it.
constexpr double kValueShare = 1e-3;
constexpr double kGainLost = 0.02;   // share of the forces' gain on k that such a solve may owe to its inexactness
constexpr double kClose = 5e-5;      // steps this short (of k) leave the forces as they are,
constexpr double kAgreement = 1e-8;  // and end the search when tangent and cubic agree on them this well
// The cubic through two solves is used where it changes the tangent's step by at most this share.
constexpr double kSameBranch = 0.2;
// Rounding stalls the program at one factor in some hundreds of three-point stances; another is tried then, so near
// that the answer is still good. (Contradictions hold for every factor: none of 135,000 was ever taken back by
// another.)
constexpr double kOtherFactor = 1.001;
constexpr int kMostStalls = 4;

}  // namespace

/// Search on k with g(k) = max s: |f_t| / (k mu) <= f_n - s, equilibrium. g grows with k and changes sign at the
/// factor. Each solve gives g's slope by its duals (Newton) and, inside, forces whose own need is a tighter upper bound
/// (Dinkelbach); a cubic through the last two solves sharpens Newton's step, and bisection guards them all.
class FrictionSolver {
 public:
  FrictionSolver(const StaticsProblem& problem, const FrictionOptions& options, FrictionWorkspace& workspace)
      : problem_(problem), options_(options), stance_(workspace.stance_) {}

  NeededFriction solve() {
    double k = 1.0;
    if (options_.start_factor > 0.0) k = std::clamp(options_.start_factor, kLeastStart, kLargestFactor);
    while (result_.solves < kMaxSolves) {
      if (!evaluate(k)) {
        if (is_contradiction_) return finish(Status::kInfeasible);
        if (++stalls_ == kMostStalls) return finish(Status::kLimitReached);
        k *= kOtherFactor;
        continue;
      }
      if (margin_ >= -find_margin_noise()) {
        accept(k);
        if (upper_ <= kZeroFactor) return finish(Status::kSolved);
      } else {
        lower_ = std::max(lower_, k);
        if (k >= kLargestFactor) return finish(Status::kInfeasible);
      }
      calc_steps(k);
      const double next = find_next(k);
      // The step is second order: where it is small, the point it leads to is the border.
      const double step = std::abs(next - k);
      if (std::abs(margin_) <= find_margin_noise() || step <= kRelative * k || is_close(k)) {
        upper_ = is_close(k) ? 1.0 / root_ : std::abs(margin_) <= find_margin_noise() ? k : next;
        stance_.read_forces(result_.forces);
        return finish(Status::kSolved);
      }
      if (lower_ >= upper_ * (1.0 - kRelative)) return finish(Status::kSolved);
      k = next;
    }
    return finish(std::isfinite(upper_) ? Status::kSolved : Status::kLimitReached);
  }

 private:
  /// Margin and slope at k. False when the program stalled, or where equilibrium and the caps on normal forces
  /// contradict each other: with s as low as it takes no cone is left, so that they do for every k.
  bool evaluate(double k) {
    ++result_.solves;
    stance_.load(problem_, -1.0, k, 0.0);
    ConeProgram& program = stance_.program();
    for (int c = 0; c < static_cast<int>(problem_.contacts.size()); ++c) {
      const Contact& contact = problem_.contacts[static_cast<std::size_t>(c)];
      for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
        program.set_cone(p, 1.0);
        program.add_row({p, 1, {1.0 / kLargestForce, 0.0, 0.0}, 0.0, 1.0});
        // The pyramid lies inside the cone, which stays: it costs nothing and keeps the program well conditioned.
        for (int i = 0; i < options_.edges; ++i) {
          const double angle = 2.0 * kPi * (i + 0.5) / options_.edges;
          const double size = 1.0 / std::cos(kPi / options_.edges);
          program.add_row({p, 1, {-1.0, size * std::cos(angle), size * std::sin(angle)}, 1.0, 0.0});
        }
      }
    }
    const ConeProgram::Outcome outcome = program.solve(kValueShare);
    is_contradiction_ = outcome == ConeProgram::Outcome::kInfeasible;
    if (outcome != ConeProgram::Outcome::kSolved) return false;
    margin_ = program.r();
    // d(-g)/dk = y . (dA/dk) v: the tangential columns of A grow with k.
    slope_ = 0.0;
    for (int p = 0; p < problem_.n_points(); ++p)
      for (int i = 1; i < 3; ++i)
        for (int row = 0; row < 6; ++row)
          slope_ -= program.y(row) * program.equation(row)[3 * p + i] * program.v(3 * p + i) / k;
    return true;
  }

  /// The root is certain and the forces at k are already those at the root. (Below the root a lightly loaded contact
  /// may use much more.)
  [[nodiscard]] bool is_close(double k) const {
    return is_certain_ && std::abs(root_ * k - 1.0) <= kClose && k * find_use(kNoLoad) * root_ <= 1.0 + kClose;
  }

  /// What rounding leaves of a margin of 0: it grows with the forces.
  [[nodiscard]] double find_margin_noise() const {
    double largest = 1.0;
    for (int p = 0; p < problem_.n_points(); ++p) largest = std::max(largest, stance_.program().v(3 * p));
    return kNoMargin * largest;
  }

  /// Largest share of k mu that the last solve's forces use at a point with a normal force above `least`.
  [[nodiscard]] double find_use(double least) const {
    const ConeProgram& program = stance_.program();
    double use = 0.0;
    for (int p = 0; p < problem_.n_points(); ++p) {
      const double f_n = program.v(3 * p);
      const double f_t = find_gauge(program.v(3 * p + 1), program.v(3 * p + 2));
      if (f_n > least) use = std::max(use, f_t / f_n);
    }
    return use;
  }

  /// Keeps the forces of a feasible k; what they need is the new upper bound.
  void accept(double k) {
    const double use = find_use(kNoMargin);
    const double gain = (1.0 - kGainLost) * (1.0 - use);
    upper_ = std::min({upper_, k, (1.0 - gain) * k});
    stance_.read_forces(result_.forces);
  }

  /// Size of a tangential force in cones: round, or the pyramid's.
  [[nodiscard]] double find_gauge(double x, double y) const {
    if (options_.edges == 0) return std::hypot(x, y);
    double gauge = 0.0;
    for (int i = 0; i < options_.edges; ++i) {
      const double angle = 2.0 * kPi * (i + 0.5) / options_.edges;
      gauge = std::max(gauge, (x * std::cos(angle) + y * std::sin(angle)) / std::cos(kPi / options_.edges));
    }
    return gauge;
  }

  /// Root of g in 1 / k, in which g is nearly straight (a force's need over k): by the tangent at k and, with another
  /// solve on the same branch of g, by the cubic of the inverse function through both (values and slopes).
  void calc_steps(double k) {
    is_certain_ = false;
    const Sample now{1.0 / k, margin_, slope_ > 0.0 ? -1.0 / (slope_ * k * k) : 0.0};
    root_ = now.inverse - margin_ * now.rate;
    if (last_.rate < 0.0 && now.rate < 0.0 && last_.margin != margin_) {
      const double width = margin_ - last_.margin;
      const double s = -last_.margin / width;
      const double cubic = (1.0 + 2.0 * s) * (1.0 - s) * (1.0 - s) * last_.inverse +
                           s * (1.0 - s) * (1.0 - s) * width * last_.rate + s * s * (3.0 - 2.0 * s) * now.inverse +
                           s * s * (s - 1.0) * width * now.rate;
      const double change = std::abs(cubic - root_);
      is_certain_ = change <= kAgreement * now.inverse;
      if (change <= kSameBranch * std::abs(margin_ * now.rate)) root_ = cubic;
    }
    last_ = now;
  }

  /// The next k: the root just estimated, kept inside the bracket.
  [[nodiscard]] double find_next(double k) const {
    double next = root_ > 0.0 ? 1.0 / root_ : kLargestFactor;
    next = std::clamp(next, k / kLargestStride, std::min(k * kLargestStride, kLargestFactor));
    // What the last forces need is possible: the least that is known to be, tried once before bisecting.
    if (next >= upper_ && upper_ < k * (1.0 - kRelative)) return upper_;
    if (next > upper_ || (next == k && slope_ <= 0.0)) next = std::sqrt(std::max(lower_, 1e-3 * upper_) * upper_);
    if (next <= lower_) next = std::isfinite(upper_) ? std::sqrt(lower_ * upper_) : lower_ * kLargestStride;
    return next;
  }

  NeededFriction finish(Status status) {
    result_.status = status;
    const bool is_found = std::isfinite(upper_);
    result_.factor = upper_ <= kZeroFactor ? 0.0 : upper_;
    if (status == Status::kInfeasible) result_.factor = std::numeric_limits<double>::infinity();
    if (!is_found) result_.forces.setZero(problem_.n_force());
    const double least = kNoLoad * stance_.unit_N();
    for (const Contact& contact : problem_.contacts) {
      double use = 0.0;
      for (int p = contact.first_point; p < contact.first_point + contact.n_points; ++p) {
        const Vec3 f = result_.forces.segment<3>(3 * p);
        if (contact.capacity.normal.dot(f) > least) use = std::max(use, find_mu_used(contact.capacity, f));
      }
      result_.mu_used.push_back(use);
    }
    const Residual residual = find_residual(problem_, result_.forces);
    result_.residual_N = residual.force_N;
    result_.residual_Nm = residual.moment_Nm;
    return result_;
  }

  const StaticsProblem& problem_;
  const FrictionOptions& options_;
  StanceProgram& stance_;
  NeededFriction result_;
  double lower_ = 0.0, upper_ = std::numeric_limits<double>::infinity();
  double margin_ = 0.0, slope_ = 0.0;
  /// A solve: 1 / k, g there and d(1 / k) / dg (0: unknown).
  struct Sample {
    double inverse = 0.0, margin = 0.0, rate = 0.0;
  };
  Sample last_;
  double root_ = 0.0;        // of g, in 1 / k
  bool is_certain_ = false;  // two estimates of the root agree
  int stalls_ = 0;           ///< of the program, at different factors
  bool is_contradiction_ = false;
};

NeededFriction solve_needed_friction(const StaticsProblem& problem, const FrictionOptions& options,
                                     FrictionWorkspace& workspace) {
  return FrictionSolver(problem, options, workspace).solve();
}

}  // namespace steepwright::statics
