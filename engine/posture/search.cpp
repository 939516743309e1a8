#include "engine/posture/search.h"

#include <algorithm>
#include <cmath>

namespace steepwright::posture {

namespace {

/// The projected gradient is read off a step this small, so that only constraints at their border count.
constexpr double kProbe = 1e-4;

class Searcher {
 public:
  Searcher(const StanceProblem& problem, const SearchParams& params, Objective& objective, SearchWorkspace& ws)
      : problem_(problem), params_(params), objective_(objective), ws_(ws), tree_(problem.body->tree) {}

  SearchResult run(body::Posture& posture) {
    SearchResult result;
    prepare(posture);
    double value = calc_value(posture, gradient_);
    result.evaluations = 1;
    int idle = 0;
    body::DofVector projected = project(posture, -gradient_);
    for (; result.iterations < params_.max_iterations; ++result.iterations) {
      if (projected.norm() < 1e-7 || value <= params_.good_enough) break;
      const body::DofVector step = find_direction(posture, projected);
      const double slope = gradient_.dot(step);
      if (!(slope < 0.0)) {
        if (count_ == 0) break;
        count_ = 0;  // stale curvature: begin again from steepest descent
        continue;
      }
      const double old_value = value;
      const body::DofVector old_projected = projected;
      const double taken = search_line(posture, step, slope, value, result.evaluations);
      if (taken == 0.0) {
        prepare(posture);
        if (count_ == 0) break;
        count_ = 0;
        continue;
      }
      projected = project(posture, -gradient_);
      remember(taken * step, old_projected - projected);
      idle = old_value - value < params_.relative_tolerance * std::abs(old_value) ? idle + 1 : 0;
      if (idle >= params_.patience) break;
    }
    result.is_met = true;
    result.value = value;
    return result;
  }

 private:
  void prepare(const body::Posture& posture) {
    body::update_kinematics(tree_, posture, ws_.posture.kinematics);
    calc_rows(problem_, posture, ws_.posture.kinematics, params_.contacts.rows, ws_.posture.rows);
  }

  /// Value, and gradient by a step (step.h), at the posture that the kinematics are of.
  double calc_value(const body::Posture& posture, body::DofVector& gradient) {
    const double value = objective_.calc_value(problem_, posture, ws_.posture.kinematics, gradient);
    gradient.head<3>() *= problem_.body->scale;
    return value;
  }

  /// Minus the gradient, without what the active constraints forbid. Rows must belong to `posture`.
  body::DofVector project(const body::Posture& posture, const body::DofVector& direction) {
    Rows& rows = ws_.posture.rows;
    // The residuals that are left within tolerance must not count as motion.
    for (int r = 0; r < rows.n(); ++r) {
      if (r < rows.n_equality)
        rows.value[r] = 0.0;
      else
        rows.value[r] = std::max(rows.value[r], 0.0);
    }
    const double scale = kProbe / std::max(direction.norm(), 1e-12);
    return solve_step(tree_, posture, rows, scale * direction, StepParams{}, ws_.posture.step) / scale;
  }

  body::DofVector find_direction(const body::Posture& posture, const body::DofVector& projected) {
    body::DofVector wish = apply_inverse_hessian(projected);
    ContactParams caps = params_.contacts;
    caps.max_turn = count_ == 0 ? params_.first_turn : params_.max_turn;
    if (count_ == 0) {
      // No curvature yet: take the allowed turn.
      const double turn = wish.tail(wish.size() - 3).cwiseAbs().maxCoeff();
      wish *= caps.max_turn / std::max(turn, 1e-12);
    }
    cap_step(caps, wish);
    // A long wish meets many limits at once, and what is left of it may lead uphill; a short one meets those only that
    // the projected gradient knows.
    constexpr int kMostTries = 4;
    constexpr double kShorter = 0.2;
    body::DofVector step;
    for (int i = 0; i < kMostTries; ++i) {
      step = solve_step(tree_, posture, ws_.posture.rows, wish, StepParams{}, ws_.posture.step);
      cap_step(caps, step);
      if (gradient_.dot(step) < 0.0) break;
      wish *= kShorter;
    }
    return step;
  }

  /// Two-loop recursion.
  body::DofVector apply_inverse_hessian(const body::DofVector& direction) {
    body::DofVector r = direction;
    std::array<double, SearchWorkspace::kMemory> alpha{};
    for (int i = 0; i < count_; ++i) {
      const std::size_t k = slot(i);
      alpha[k] = ws_.rho[k] * ws_.s[k].dot(r);
      r -= alpha[k] * ws_.y[k];
    }
    if (count_ > 0) {
      const std::size_t k = slot(0);
      r *= 1.0 / (ws_.rho[k] * ws_.y[k].squaredNorm());
    }
    for (int i = count_ - 1; i >= 0; --i) {
      const std::size_t k = slot(i);
      r += ws_.s[k] * (alpha[k] - ws_.rho[k] * ws_.y[k].dot(r));
    }
    return r;
  }

  /// Backtracking; moves posture, value and gradient on success and returns the share of the step taken, else 0.
  double search_line(body::Posture& posture, const body::DofVector& step, double slope, double& value,
                     int& evaluations) {
    constexpr double kArmijo = 1e-4;
    double t = 1.0;
    for (int attempt = 0; attempt < 6; ++attempt) {
      ws_.trial = posture;
      take_step(*problem_.body, t * step, ws_.trial);
      const ContactResult met = solve_contacts(problem_, params_.contacts, ws_.trial, ws_.posture);
      if (met.status == ContactStatus::kMet) {
        const double trial_value = calc_value(ws_.trial, trial_gradient_);
        ++evaluations;
        if (trial_value <= value + kArmijo * t * slope) {
          posture = ws_.trial;
          value = trial_value;
          gradient_ = trial_gradient_;
          return t;
        }
        // Minimum of the parabola through value, slope and the trial value.
        const double curvature = trial_value - value - t * slope;
        const double best = std::isfinite(curvature) ? -slope * t * t / (2.0 * curvature) : 0.0;
        t = std::clamp(best, 0.1 * t, 0.5 * t);
      } else {
        t *= 0.4;
      }
    }
    return 0.0;
  }

  void remember(const body::DofVector& s, const body::DofVector& y) {
    const double sy = s.dot(y);
    if (sy < 1e-8 * s.norm() * y.norm()) return;
    head_ = (head_ + 1) % SearchWorkspace::kMemory;
    const auto k = static_cast<std::size_t>(head_);
    ws_.s[k] = s;
    ws_.y[k] = y;
    ws_.rho[k] = 1.0 / sy;
    count_ = std::min(count_ + 1, SearchWorkspace::kMemory);
  }

  /// Slot of the i-th newest pair.
  [[nodiscard]] std::size_t slot(int i) const {
    return static_cast<std::size_t>((head_ - i + SearchWorkspace::kMemory) % SearchWorkspace::kMemory);
  }

  const StanceProblem& problem_;
  const SearchParams& params_;
  Objective& objective_;
  SearchWorkspace& ws_;
  const body::Tree& tree_;
  body::DofVector gradient_, trial_gradient_;
  int count_ = 0;
  int head_ = 0;
};

}  // namespace

SearchResult search_posture(const StanceProblem& problem, const SearchParams& params, Objective& objective,
                            body::Posture& posture, SearchWorkspace& workspace) {
  return Searcher(problem, params, objective, workspace).run(posture);
}

}  // namespace steepwright::posture
