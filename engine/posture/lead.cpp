#include "engine/posture/lead.h"

#include "engine/posture/step.h"

#include <algorithm>
#include <cmath>

namespace steepwright::posture {

namespace {

/// By how much the planes may stand above the level that a step was asked to keep.
constexpr double kKept = 1e-4;
/// Tries in a row that bring nothing.
constexpr int kMostMisses = 10;
/// After misses a much shorter step: what stands in the way is mostly near, and told best from near by.
constexpr double kLonger = 2.0, kShorter = 0.25;

class Leader {
 public:
  Leader(StanceProblem& problem, int limb, const Vec3& to_W, const LeadParams& params, EffortObjective& objective,
         PostureWorkspace& constraints, BundleWorkspace& ws)
      : problem_(problem),
        goal_(problem.limbs[static_cast<std::size_t>(limb)]),
        from_W_(goal_.p_WC),
        way_W_(to_W - goal_.p_WC),
        params_(params),
        objective_(objective),
        constraints_(constraints),
        ws_(ws),
        tree_(problem.body->tree) {}

  LeadResult run(body::Posture& posture) {
    body::update_kinematics(tree_, posture, constraints_.kinematics);
    value_ = calc_value(posture);
    result_.evaluations = 1;
    ws_.planes.clear();
    ws_.planes.add_newest(gradient_);
    const double shortest = params_.shortest_m / std::max(way_W_.norm(), params_.shortest_m);
    step_ = 1.0;
    while (result_.share < 1.0 && step_ >= shortest && n_misses_ <= kMostMisses &&
           result_.evaluations < params_.max_evaluations) {
      if (!advance(posture)) step_ *= kShorter;
      if (step_ < shortest && forget()) step_ = 1.0;
    }
    put_goal(result_.share);
    result_.effort = value_;
    return result_;
  }

 private:
  /// False when the next try should be a shorter one.
  bool advance(body::Posture& posture) {
    const double next = std::min(result_.share + step_, 1.0);
    body::DofVector d;
    if (!find_step(posture, next, d)) return false;
    ws_.trial = posture;
    take_step(*problem_.body, d, ws_.trial);
    if (solve_contacts(problem_, params_.contacts, ws_.trial, constraints_).status != ContactStatus::kMet) {
      ++n_misses_;
      return false;
    }
    const double trial_value = calc_value(ws_.trial);
    ++result_.evaluations;
    if (!std::isfinite(trial_value)) {
      ++n_misses_;
      return false;
    }
    const double rise = trial_value - value_;
    if (trial_value > params_.bound) {
      ws_.planes.add(gradient_, std::max(gradient_.dot(d) - rise, 0.0));
      return ++n_misses_ % 2 != 0;  // with the new plane the same way may do
    }
    ws_.planes.move(d, rise);
    posture = ws_.trial;
    value_ = trial_value;
    ws_.planes.add_newest(gradient_);
    result_.share = next;
    step_ *= kLonger;
    n_misses_ = 0;
    has_forgotten_ = false;
    return true;
  }

  /// The shortest step that brings the contact to `share` of the way within the lowest level that it can keep.
  bool find_step(const body::Posture& posture, double share, body::DofVector& d) {
    put_goal(share);
    body::update_kinematics(tree_, posture, constraints_.kinematics);
    Rows& rows = constraints_.rows;
    calc_rows(problem_, posture, constraints_.kinematics, params_.contacts.rows, rows);
    for (int r = rows.n_equality; r < rows.n(); ++r) rows.value[r] = std::max(rows.value[r], 0.0);
    n_constraints_ = rows.n_one_sided;
    // Where the bound itself cannot be kept, nothing lower can.
    if (!find_step_within(posture, params_.bound, d)) return false;
    for (const double level : {params_.level, 0.5 * (params_.level + params_.bound)}) {
      body::DofVector lower;
      if (!find_step_within(posture, level, lower)) continue;
      d = lower;
      break;
    }
    return true;
  }

  bool find_step_within(const body::Posture& posture, double level, body::DofVector& d) {
    constraints_.rows.n_one_sided = n_constraints_;
    ws_.planes.add_rows(value_ - level, tree_.n_dof(), constraints_.rows);
    d = solve_step(tree_, posture, constraints_.rows, body::DofVector::Zero(tree_.n_dof()), StepParams{},
                   constraints_.step);
    const bool is_short = d.tail(tree_.n_dof() - 3).cwiseAbs().maxCoeff() <= params_.max_turn;
    return is_short && value_ + ws_.planes.find_rise(d) <= level + kKept && meets_contacts(d);
  }

  /// Rows that cannot all be met are met by halves.
  [[nodiscard]] bool meets_contacts(const body::DofVector& d) const {
    constexpr double kMet = 1e-4;  // Body::scale
    const Rows& rows = constraints_.rows;
    for (int r = 0; r < rows.n_equality; ++r) {
      if (std::abs(rows.value[r] + rows.A.row(r).head(tree_.n_dof()).dot(d)) > kMet) return false;
    }
    return true;
  }

  void put_goal(double share) { goal_.p_WC = from_W_ + share * way_W_; }

  /// Effort, and gradient by a step (step.h), at the posture that the kinematics are of.
  double calc_value(const body::Posture& posture) {
    static_cast<void>(objective_.calc_value(problem_, posture, constraints_.kinematics, gradient_));
    gradient_.head<3>() *= problem_.body->scale;
    return objective_.last().rho;
  }

  /// Once a posture the lead goes on without old planes.
  bool forget() {
    if (has_forgotten_ || ws_.planes.size() < 2 || result_.share >= 1.0) return false;
    has_forgotten_ = true;
    ws_.planes.forget_old();
    n_misses_ = 0;
    return true;
  }

  StanceProblem& problem_;
  LimbGoal& goal_;
  const Vec3 from_W_, way_W_;
  const LeadParams& params_;
  EffortObjective& objective_;
  PostureWorkspace& constraints_;
  BundleWorkspace& ws_;
  const body::Tree& tree_;
  LeadResult result_;
  body::DofVector gradient_;
  double value_ = 0.0;
  double step_ = 1.0;  ///< share of the way
  int n_constraints_ = 0;
  int n_misses_ = 0;
  bool has_forgotten_ = false;
};

}  // namespace

LeadResult lead_limb(StanceProblem& problem, int limb, const Vec3& to_W, const LeadParams& params,
                     EffortObjective& objective, body::Posture& posture, PostureWorkspace& constraints,
                     BundleWorkspace& workspace) {
  return Leader(problem, limb, to_W, params, objective, constraints, workspace).run(posture);
}

}  // namespace steepwright::posture
