#include "engine/posture/stance.h"

#include "engine/posture/loads.h"
#include "engine/posture/tolerances.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::posture {

namespace {

/// Penalty on missing balance: soft enough for quick progress first, stiff where balance is what is at stake. On
/// squared body weights, against activations of order 1: it leaves 1e-4 and 1e-6 of the weight.
constexpr double kSearchWeight = 1e4;
constexpr double kStiffWeight = 1e6;

/// How far a projection may turn a joint for balance: any way where the stance is to hold or those near by balance,
/// else little, so that it stays beside them, rad.
constexpr double kAnyTurn = 10.0;
constexpr double kNearTurn = 0.06;

/// An effort that was wanted is enough when it is this share of it.
constexpr double kEnough = 0.98;

/// Effort from which ease gives way to effort in the choice of a posture.
constexpr double kNearLimit = 0.9;

/// Relative gain at which the search passes from one point a limb to all, and the first turn of a search that starts
/// near its end, rad.
constexpr double kCoarseTolerance = 2e-2;
constexpr double kFineTurn = 0.03;

class StanceSolver {
 public:
  StanceSolver(const StanceProblem& problem, const StanceParams& params, StanceWorkspace& ws)
      : problem_(problem), params_(params), ws_(ws), random_(params.seed), rows_(params.rows) {
    ws_.load.comfort.weight = params.comfort_weight;
    ws_.load.comfort.rest = params.rest.value_or(ws_.rest);
    ws_.load.soft_weight = kSearchWeight;
    ws_.load.workspace().reset();
    ws_.load.point_model = PointModel::kAll;
    ws_.effort_objective.comfort.weight = 0.1 * params.comfort_weight;
    ws_.effort_objective.comfort.rest = ws_.load.comfort.rest;
  }

  StanceAnswer solve(const body::Posture* warm) {
    StanceAnswer answer;
    if (warm != nullptr && try_warm(*warm, answer) && has_spare(answer)) return answer;
    const bool warm_met = answer.has_posture;
    collect_candidates(answer);
    const int n_searched = std::min(n_candidates_, params_.searched_starts);
    for (int i = 0; i < n_searched; ++i) improve(ws_.candidates[static_cast<std::size_t>(i)], answer);
    if (!answer.has_posture && !warm_met) {
      settle_failed(answer);
    } else if (!has_spare(answer)) {
      try_harder(n_searched, answer);
    }
    return answer;
  }

  StanceAnswer solve_near(const body::Posture& start, double wanted_effort) {
    StanceAnswer answer;
    body::Posture posture = start;
    ++answer.starts_tried;
    if (solve_contacts(problem_, start_contacts(params_, rows_), posture, ws_.search.posture).status !=
        ContactStatus::kMet) {
      answer.posture = posture;
      return answer;
    }
    keep_if_better(posture, answer);
    if (answer.effort.status == statics::Status::kInfeasible && !can_merge_points()) {
      const bool is_asked = std::isfinite(wanted_effort) || params_.friction_guess > 0.0;
      project_plumb(posture, is_asked ? kAnyTurn : kNearTurn, answer);
    }
    if (!answer.has_posture || !std::isfinite(wanted_effort)) return answer;
    good_enough_ = kEnough * wanted_effort;
    if (answer.effort.status != statics::Status::kSolved || answer.effort.rho > wanted_effort) {
      lower_effort(answer.posture, answer.effort.status, answer);
    }
    return answer;
  }

 private:
  /// Balance over one or two limbs is a matter of place: the nearest posture with the centre of mass there, when it
  /// turns no joint farther than `max_turn`.
  void project_plumb(const body::Posture& start, double max_turn, StanceAnswer& answer) {
    rows_.plumb = true;
    body::Posture posture = start;
    if (solve_contacts(problem_, start_contacts(params_, rows_), posture, ws_.search.posture).status ==
            ContactStatus::kMet &&
        (posture.angles - start.angles).cwiseAbs().maxCoeff() <= max_turn) {
      keep_if_better(posture, answer);
    }
    rows_.plumb = false;
  }

  /// Held, and not near the limit by which it is judged.
  static bool has_spare(const StanceAnswer& answer) { return answer.is_held() && answer.effort.rho < kNearLimit; }

  /// A stance that does not hold yet, or only just. Before that is the verdict: bring the best posture into balance and
  /// lower its effort, then the other candidates, then, where it does not hold, more starts while success is in sight.
  void try_harder(int n_searched, StanceAnswer& answer) {
    lower_effort(answer.posture, answer.effort.status, answer);
    for (int i = n_searched; i < n_candidates_ && !has_spare(answer); ++i) {
      ease_and_lower(ws_.candidates[static_cast<std::size_t>(i)], answer);
    }
    const ContactParams contacts = start_contacts(params_, params_.rows);
    for (int i = 0; i < params_.extra_starts && !answer.is_held() && is_in_sight(answer); ++i) {
      body::Posture posture = find_start(problem_, ws_.hinges, kDeliberateStarts + i, random_);
      ++answer.starts_tried;
      if (solve_contacts(problem_, contacts, posture, ws_.search.posture).status != ContactStatus::kMet) continue;
      ease_and_lower(posture, answer);
    }
  }

  /// More starts have lowered effort and needed friction by up to a third in trials, never by half.
  static bool is_in_sight(const StanceAnswer& answer) {
    constexpr double kFar = 1.5;
    if (answer.effort.status == statics::Status::kSolved) return answer.effort.rho < kFar;
    return answer.friction.factor < kFar;
  }

  void ease_and_lower(body::Posture& posture, StanceAnswer& answer) {
    if (!improve(posture, answer)) return;
    if (!has_spare(answer)) lower_effort(posture, trial_.effort.status, answer);
  }

  bool try_warm(const body::Posture& warm, StanceAnswer& answer) {
    body::Posture posture = warm;
    const ContactParams contacts = start_contacts(params_, params_.rows);
    ++answer.starts_tried;
    if (solve_contacts(problem_, contacts, posture, ws_.search.posture).status != ContactStatus::kMet) return false;
    refine(posture, kFineTurn, 1, answer);  // a neighbour is near its end already
    return answer.has_posture;
  }

  /// Starts until enough of them meet the contacts, sorted by their load value.
  void collect_candidates(StanceAnswer& answer) {
    n_candidates_ = 0;
    const ContactParams contacts = start_contacts(params_, params_.rows);
    const int wanted = std::min(params_.wanted_starts, StanceWorkspace::kMaxCandidates);
    double best_error = 1e30;
    for (int i = 0; i < params_.max_starts && n_candidates_ < wanted; ++i) {
      body::Posture posture = find_start(problem_, ws_.hinges, i, random_);
      ++answer.starts_tried;
      const ContactResult met = solve_contacts(problem_, contacts, posture, ws_.search.posture);
      if (met.status == ContactStatus::kMet) {
        const double value = ws_.load.calc_value(problem_, posture, ws_.search.posture.kinematics, gradient_);
        ++answer.evaluations;
        insert(posture, value);
      } else if (!answer.has_posture && n_candidates_ == 0 && met.contact_error + met.one_sided_error < best_error) {
        best_error = met.contact_error + met.one_sided_error;
        answer.posture = posture;
      }
    }
  }

  void insert(const body::Posture& posture, double value) {
    int k = n_candidates_++;
    for (; k > 0 && ws_.candidate_values[static_cast<std::size_t>(k - 1)] > value; --k) {
      ws_.candidates[static_cast<std::size_t>(k)] = ws_.candidates[static_cast<std::size_t>(k - 1)];
      ws_.candidate_values[static_cast<std::size_t>(k)] = ws_.candidate_values[static_cast<std::size_t>(k - 1)];
    }
    ws_.candidates[static_cast<std::size_t>(k)] = posture;
    ws_.candidate_values[static_cast<std::size_t>(k)] = value;
  }

  /// Eases a posture that meets the contacts and keeps it when it is better than the answer so far: most of the way on
  /// one point a limb, the rest on all. False when it does not come into balance where that is known to matter.
  bool improve(body::Posture& posture, StanceAnswer& answer) {
    if (rows_.balance != nullptr && !start_in_balance(posture, answer)) return false;
    if (can_merge_points()) ease_coarsely(posture, answer);
    const double first_turn = can_merge_points() ? kFineTurn : params_.search.first_turn;
    refine(posture, first_turn, params_.search.patience, answer);
    return true;
  }

  /// On one point a limb.
  void ease_coarsely(body::Posture& posture, StanceAnswer& answer) {
    SearchParams search = search_params(params_, rows_);
    search.relative_tolerance = kCoarseTolerance;
    ws_.load.point_model = PointModel::kMiddle;
    answer.evaluations += search_posture(problem_, search, ws_.load, posture, ws_.search).evaluations;
    ws_.load.point_model = PointModel::kAll;
  }

  void refine(body::Posture& posture, double first_turn, int patience, StanceAnswer& answer) {
    SearchParams search = search_params(params_, rows_);
    search.first_turn = first_turn;
    search.patience = patience;
    answer.evaluations += search_posture(problem_, search, ws_.load, posture, ws_.search).evaluations;
    keep_if_better(posture, answer);
  }

  /// Two limbs alone cannot resist a moment about the line between them but by the width of hand and foot.
  [[nodiscard]] bool can_merge_points() const { return count_loaded(problem_) >= kLoadedForRegion; }

  /// From a posture that is eased but not held: first balance, then the effort itself.
  void lower_effort(body::Posture posture, statics::Status status, StanceAnswer& answer) {
    if (params_.max_polish == 0) return;
    if (status == statics::Status::kInfeasible && can_merge_points()) {
      if (!ease_in_balance(posture, answer)) return;
      if (!has_spare(answer)) polish(posture, answer);
    } else if (status == statics::Status::kInfeasible) {
      rows_.plumb = true;  // where one or two limbs carry the body, balance is a matter of place
      find_balance(posture, answer);
      if (trial_.effort.status != statics::Status::kInfeasible && !answer.is_held()) polish(posture, answer);
      rows_.plumb = false;
    } else {
      polish(posture, answer);
      if (!can_merge_points() && !has_spare(answer)) polish_plumb(posture, answer);
    }
  }

  /// Over one or two limbs most steps lose balance unless they keep to the plumb plane.
  void polish_plumb(body::Posture posture, StanceAnswer& answer) {
    rows_.plumb = true;
    if (solve_contacts(problem_, start_contacts(params_, rows_), posture, ws_.search.posture).status ==
        ContactStatus::kMet) {
      polish(posture, answer);
    }
    rows_.plumb = false;
  }

  bool enter_balance(body::Posture& posture) {
    rows_.balance = &region_;
    return posture::enter_balance(problem_, start_contacts(params_, rows_), region_, posture, ws_);
  }

  /// A start is led into balance before it is eased; where the way is too far, easing leads to it.
  bool start_in_balance(body::Posture& posture, StanceAnswer& answer) {
    const body::Posture start = posture;
    if (enter_balance(posture)) return true;
    posture = start;
    rows_.balance = nullptr;
    ease_coarsely(posture, answer);
    return enter_balance(posture);
  }

  /// False when no balance is found. Eased once more there, which may bring a new proof.
  bool ease_in_balance(body::Posture& posture, StanceAnswer& answer) {
    if (!enter_balance(posture)) return false;
    const body::Posture entered = posture;
    refine(posture, kFineTurn, params_.search.patience, answer);
    if (trial_.effort.status != statics::Status::kInfeasible) return true;
    if (!enter_balance(posture)) posture = entered;
    keep_if_better(posture, answer);
    return true;
  }

  /// A stiffer penalty on what is missing.
  void find_balance(body::Posture& posture, StanceAnswer& answer) {
    const ContactParams contacts = start_contacts(params_, rows_);
    if (solve_contacts(problem_, contacts, posture, ws_.search.posture).status != ContactStatus::kMet) return;
    ws_.load.soft_weight = kStiffWeight;
    refine(posture, params_.search.first_turn, params_.search.patience, answer);
    ws_.load.soft_weight = kSearchWeight;
  }

  void polish(body::Posture& posture, StanceAnswer& answer) {
    SearchParams search = search_params(params_, rows_);
    search.max_iterations = params_.max_polish;
    search.good_enough = good_enough_;
    search.first_turn = 0.05;
    search.relative_tolerance = 3e-4;
    search.patience = 4;
    const SearchResult found = search_posture(problem_, search, ws_.effort_objective, posture, ws_.search);
    answer.evaluations += found.evaluations;
    if (found.value > std::max(good_enough_, kNearLimit)) lower_along_kinks(posture, answer);
    keep_if_better(posture, answer);
  }

  /// A kink ends that search, where one limit takes over from another: most stances near their limit stand on one.
  void lower_along_kinks(body::Posture& posture, StanceAnswer& answer) {
    BundleParams bundle;
    bundle.max_evaluations = params_.max_polish;
    bundle.good_enough = std::max(good_enough_, kEnough * kNearLimit);
    bundle.contacts = search_params(params_, rows_).contacts;
    answer.evaluations +=
        search_bundle(problem_, bundle, ws_.effort_objective, posture, ws_.search.posture, ws_.bundle);
  }

  void keep_if_better(const body::Posture& posture, StanceAnswer& answer) {
    StanceAnswer& trial = trial_;
    trial.posture = posture;
    const ContactResult met =
        solve_contacts(problem_, final_contacts(params_, rows_), trial.posture, ws_.search.posture);
    trial.violation = find_violation(problem_, trial.posture, ws_.search.posture.kinematics, params_.rows);
    trial.has_posture = met.status == ContactStatus::kMet || is_accepted(trial.violation);
    solve_answers(problem_, ws_, trial, params_.friction_guess);
    if (!is_better(trial, answer)) return;
    trial.starts_tried = answer.starts_tried;
    trial.evaluations = answer.evaluations;
    answer = trial;
  }

  [[nodiscard]] bool is_accepted(const Violation& violation) const {
    return violation.contact_m <= params_.accepted_contact_m &&
           violation.one_sided <= params_.search.contacts.one_sided_tolerance &&
           violation.clearance_m >= -params_.accepted_clearance_m;
  }

  static bool is_better(const StanceAnswer& a, const StanceAnswer& b) {
    if (a.has_posture != b.has_posture) return a.has_posture;
    if (!a.has_posture) return false;
    if (a.is_held() != b.is_held()) return a.is_held();
    if (a.is_held()) {
      if (std::max(a.effort.rho, b.effort.rho) >= kNearLimit) return a.effort.rho < b.effort.rho;
      return a.distribution.cost < b.distribution.cost;
    }
    const bool a_balanced = a.effort.status == statics::Status::kSolved;
    const bool b_balanced = b.effort.status == statics::Status::kSolved;
    if (a_balanced != b_balanced) return a_balanced;
    if (a_balanced) return a.effort.rho < b.effort.rho;
    return a.friction.factor < b.friction.factor;
  }

  /// Nothing met the contacts: say how far the best try is off.
  void settle_failed(StanceAnswer& answer) {
    if (answer.posture.angles.size() == 0) answer.posture = find_start(problem_, ws_.hinges, 0, random_);
    body::update_kinematics(problem_.body->tree, answer.posture, ws_.search.posture.kinematics);
    answer.violation = find_violation(problem_, answer.posture, ws_.search.posture.kinematics, params_.rows);
    solve_answers(problem_, ws_, answer);
  }

  const StanceProblem& problem_;
  const StanceParams& params_;
  StanceWorkspace& ws_;
  RandomStream random_;
  RowOptions rows_;                                  ///< in force now
  BalanceRegion region_;                             ///< as far as it is known
  double good_enough_ = SearchParams{}.good_enough;  ///< effort that is not lowered further
  int n_candidates_ = 0;
  StanceAnswer trial_;
  body::DofVector gradient_;
};

}  // namespace

StanceWorkspace::StanceWorkspace(const body::Body& body)
    : hinges(make_start_hinges(body)), rest(find_rest_angles(body, hinges)) {}

StanceAnswer solve_stance(const StanceProblem& problem, const StanceParams& params, const body::Posture* warm,
                          StanceWorkspace& workspace) {
  return StanceSolver(problem, params, workspace).solve(warm);
}

StanceAnswer solve_stance_near(const StanceProblem& problem, const StanceParams& params, const body::Posture& start,
                               double wanted_effort, StanceWorkspace& workspace) {
  return StanceSolver(problem, params, workspace).solve_near(start, wanted_effort);
}

}  // namespace steepwright::posture
