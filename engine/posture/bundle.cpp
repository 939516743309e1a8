#include "engine/posture/bundle.h"

#include "engine/posture/step.h"

#include <algorithm>
#include <cmath>

namespace steepwright::posture {

namespace {

/// The largest fall that a step asks for, and the smallest that is worth one, of the value's scale.
constexpr double kMostFall = 0.1, kLeastFall = 1e-4;
/// Share of the level's fall that a step has to promise: less, and the level is out of reach of the planes.
constexpr double kReached = 0.5;
/// Share of the promise that a step has to keep to be taken, and from which on the next one is longer.
constexpr double kKept = 0.1, kWellKept = 0.6;
constexpr double kLonger = 2.0, kShorter = 0.5, kMuchShorter = 0.25;
/// Tries in a row that bring nothing.
constexpr int kMostMisses = 10;
/// Values below this count as this where a share of the value is meant.
constexpr double kLeastScale = 0.1;

class BundleSearch {
 public:
  BundleSearch(const StanceProblem& problem, const BundleParams& params, Objective& objective,
               PostureWorkspace& constraints, BundleWorkspace& ws)
      : problem_(problem),
        params_(params),
        objective_(objective),
        constraints_(constraints),
        ws_(ws),
        tree_(problem.body->tree) {}

  int run(body::Posture& posture) {
    prepare(posture);
    value_ = calc_value(posture);
    evaluations_ = 1;
    if (!std::isfinite(value_)) return evaluations_;
    ws_.planes.clear();
    ws_.planes.add_newest(gradient_);
    fall_ = kMostFall * scale();
    turn_ = params_.first_turn;
    int idle = 0;
    while (evaluations_ < params_.max_evaluations && n_misses_ <= kMostMisses && value_ > params_.good_enough) {
      fall_ = std::min(fall_, std::max(value_ - params_.good_enough, kLeastFall * scale()));
      if (fall_ < kLeastFall * scale() && !forget()) break;
      const double old_value = value_;
      if (!step(posture)) continue;
      idle = old_value - value_ < params_.relative_tolerance * std::abs(old_value) ? idle + 1 : 0;
      if (idle >= params_.patience) break;
    }
    return evaluations_;
  }

 private:
  /// True when the posture has moved.
  bool step(body::Posture& posture) {
    const body::DofVector full = find_step(posture);
    const double reached = ws_.planes.find_rise(full);
    if (reached > -kReached * fall_) {
      fall_ *= kMuchShorter;
      return false;
    }
    body::DofVector d = full;
    ContactParams caps = params_.contacts;
    caps.max_turn = turn_;
    cap_step(caps, d);
    const double promised = ws_.planes.find_rise(d);
    ws_.trial = posture;
    take_step(*problem_.body, d, ws_.trial);
    if (solve_contacts(problem_, params_.contacts, ws_.trial, constraints_).status != ContactStatus::kMet) {
      return miss(posture, d, kMuchShorter);
    }
    const double trial_value = calc_value(ws_.trial);
    ++evaluations_;
    if (!std::isfinite(trial_value)) return miss(posture, d, kMuchShorter);
    const double rise = trial_value - value_;
    if (rise > kKept * promised) {
      ws_.planes.add(gradient_, std::max(gradient_.dot(d) - rise, 0.0));
      const bool is_far = rise > -2.0 * promised || n_misses_ >= 2;
      return miss(posture, d, is_far ? kShorter : 1.0);
    }
    ws_.planes.move(d, rise);
    if (rise <= kWellKept * promised) {
      turn_ = std::min(kLonger * turn_, params_.max_turn);
      fall_ = std::min(kLonger * fall_, kMostFall * scale());
    }
    value_ = trial_value;
    posture = ws_.trial;
    ws_.planes.add_newest(gradient_);
    has_forgotten_ = false;
    n_misses_ = 0;
    prepare(posture);
    return true;
  }

  /// The posture stays; what follows is tried with turns `share` as long.
  bool miss(const body::Posture& posture, const body::DofVector& d, double share) {
    ++n_misses_;
    if (share < 1.0) turn_ = share * std::min(turn_, d.tail(tree_.n_dof() - 3).cwiseAbs().maxCoeff());
    prepare(posture);
    return false;
  }

  /// Value, and gradient by a step (step.h), at the posture that the kinematics are of.
  double calc_value(const body::Posture& posture) {
    const double value = objective_.calc_value(problem_, posture, constraints_.kinematics, gradient_);
    gradient_.head<3>() *= problem_.body->scale;
    return value;
  }

  /// Rows of the posture, as what a step must not leave: residuals within tolerance do not count as motion.
  void prepare(const body::Posture& posture) {
    body::update_kinematics(tree_, posture, constraints_.kinematics);
    Rows& rows = constraints_.rows;
    calc_rows(problem_, posture, constraints_.kinematics, params_.contacts.rows, rows);
    rows.value.head(rows.n_equality).setZero();
    for (int r = rows.n_equality; r < rows.n(); ++r) rows.value[r] = std::max(rows.value[r], 0.0);
    n_constraints_ = rows.n_one_sided;
  }

  /// The shortest step down to the level.
  body::DofVector find_step(const body::Posture& posture) {
    Rows& rows = constraints_.rows;
    rows.n_one_sided = n_constraints_;
    ws_.planes.add_rows(fall_, tree_.n_dof(), rows);
    const body::DofVector wish = body::DofVector::Zero(tree_.n_dof());
    return solve_step(tree_, posture, rows, wish, StepParams{}, constraints_.step);
  }

  /// Once a posture the search goes on without old planes.
  bool forget() {
    if (has_forgotten_ || ws_.planes.size() < 2) return false;
    has_forgotten_ = true;
    ws_.planes.forget_old();
    fall_ = kMostFall * scale();
    n_misses_ = 0;
    turn_ = params_.first_turn;
    return true;
  }

  [[nodiscard]] double scale() const { return std::max(std::abs(value_), kLeastScale); }

  const StanceProblem& problem_;
  const BundleParams& params_;
  Objective& objective_;
  PostureWorkspace& constraints_;
  BundleWorkspace& ws_;
  const body::Tree& tree_;
  body::DofVector gradient_;
  int n_constraints_ = 0;  ///< one-sided rows that are no planes
  double value_ = 0.0;
  double fall_ = 0.0;  ///< of the level below the value
  double turn_ = 0.0;  ///< rad, longest step
  int n_misses_ = 0;
  int evaluations_ = 0;
  bool has_forgotten_ = false;
};

}  // namespace

int search_bundle(const StanceProblem& problem, const BundleParams& params, Objective& objective,
                  body::Posture& posture, PostureWorkspace& constraints, BundleWorkspace& workspace) {
  return BundleSearch(problem, params, objective, constraints, workspace).run(posture);
}

}  // namespace steepwright::posture
