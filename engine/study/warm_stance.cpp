#include "engine/study/warm_stance.h"

#include "engine/posture/loads.h"

#include <cmath>
#include <limits>

namespace steepwright::study {

namespace {

using posture::ContactStatus;

/// Penalties on missing balance, relative to squared body weights, as in the stance's own search.
constexpr double kSearchWeight = 1e4;
constexpr double kStiffWeight = 1e6;

/// From this effort on the effort itself is lowered: below, the eased posture says enough.
constexpr double kNearLimit = 0.9;
/// An eased posture with more than this will not come below 1 by polish: a third was the most in trials.
constexpr double kFar = 1.5;
/// The same for the posture of a neighbour that holds (at 1.1 one in ten came below 1 in trials, at 1.3 one in fifty).
constexpr double kFarFromHeld = 1.3;
/// Iterations of its polish: a few tell whether the rest is worth it.
constexpr double kCloseToHold = 0.015;
constexpr int kFirstPolish = 6, kFurtherPolish = 30;
/// A stubborn descent leaves so much to spare, and is not begun or gone on with from efforts above these: of those
/// between 3 and 5 none of 22 came below 1 in trials, of those that a polish had left at 1.3 to 1.5 one in fifteen.
constexpr double kSpare = 0.97, kHopeless = 3.0, kFarAfterPolish = 1.5;
constexpr int kStubbornPolish = 20, kFirstKinks = 40, kFurtherKinks = 100, kKinksPatience = 8;
/// What is left to gain of it may be so many times what the first evaluations along the kinks have gained.
constexpr double kInSight = 3.0;
/// How exact efforts are on the way of a search: what is kept is evaluated anew.
constexpr double kSearchedShare = 1e-4;

/// A neighbour is a few millimetres away: what is not met after so many steps is out of reach from there.
posture::ContactParams warm_contacts() {
  posture::ContactParams contacts;
  contacts.contact_tolerance = 1e-7;  // what is held must stand when anyone checks it
  contacts.max_iterations = 12;
  contacts.stall_iterations = 3;
  return contacts;
}

posture::SearchParams ease_params() {
  posture::SearchParams search;
  search.max_iterations = 2;
  search.relative_tolerance = 5e-3;
  search.patience = 1;
  search.first_turn = 0.03;
  search.contacts.contact_tolerance = 1e-5;
  search.contacts.max_iterations = 8;
  return search;
}

posture::SearchParams balance_params() {
  posture::SearchParams search = ease_params();
  search.max_iterations = 6;
  search.first_turn = 0.08;
  return search;
}

posture::SearchParams polish_params(Care care) {
  posture::SearchParams search = ease_params();
  search.max_iterations = care == Care::kThorough ? 4 : kFirstPolish;
  search.relative_tolerance = 1e-3;
  search.patience = 2;
  search.first_turn = 0.05;
  return search;
}

bool is_better(const WarmAnswer& a, const WarmAnswer& b) {
  if (a.has_posture != b.has_posture) return a.has_posture;
  return a.effort < b.effort;
}

}  // namespace

WarmStance::WarmStance(const body::Body& body, double comfort_weight) : comfort_weight_(comfort_weight), ws_(body) {
  ws_.load.comfort.weight = comfort_weight;
  ws_.load.comfort.rest = ws_.rest;
  ws_.effort_objective.comfort.weight = 0.1 * comfort_weight;
  ws_.effort_objective.comfort.rest = ws_.rest;
  ws_.effort_objective.value_share = kSearchedShare;
  effort_.value_share = kSearchedShare;
}

WarmAnswer WarmStance::solve(const posture::StanceProblem& problem, const body::Posture& warm, Care care,
                             const posture::BalanceRegion& balance) {
  ws_.load.workspace().reset();
  balance_ = balance;
  asked_ = balance_.cuts.empty() ? nullptr : &balance_;
  WarmAnswer answer;
  answer.effort = std::numeric_limits<double>::infinity();
  answer.posture = warm;
  bool is_met = meet(problem, answer.posture);
  if (!is_met && asked_ != nullptr) {
    asked_ = nullptr;
    answer.posture = warm;
    is_met = meet(problem, answer.posture);
  }
  if (is_met && care == Care::kStubborn) {
    descend(problem, answer);
  } else if (is_met && care == Care::kPatient) {
    bring_to_hold(problem, answer);
  } else if (is_met) {
    ease(problem, care, answer);
  }
  answer.is_held = is_enough(answer.effort);
  answer.balance = balance_;
  return answer;
}

WarmAnswer WarmStance::lead(const posture::StanceProblem& from, const posture::StanceProblem& to,
                            const body::Posture& warm, const posture::BalanceRegion& balance) {
  balance_ = balance;
  asked_ = balance_.cuts.empty() ? nullptr : &balance_;
  WarmAnswer answer;
  answer.effort = std::numeric_limits<double>::infinity();
  answer.posture = warm;
  const posture::LeadParams defaults;
  if (!follow(to, defaults.level, answer) && meet(from, answer.posture)) {
    posture::LeadParams params = defaults;
    params.contacts = ease_params().contacts;
    params.contacts.rows.balance = asked_;
    led_ = from;
    const int limb = static_cast<int>(from.limbs.size()) - 1;
    posture::lead_limb(led_, limb, to.limbs.back().p_WC, params, effort_, answer.posture, ws_.search.posture, bundle_);
    body::Posture posture = answer.posture;
    evaluate(to, posture, answer);
  }
  answer.is_held = is_enough(answer.effort);
  answer.balance = balance_;
  return answer;
}

/// True when merely meeting the contacts will do.
bool WarmStance::follow(const posture::StanceProblem& problem, double most_effort, WarmAnswer& answer) {
  WarmAnswer followed = answer;
  body::Posture posture = answer.posture;
  if (!evaluate(problem, posture, followed) || followed.effort > most_effort) return false;
  answer = followed;
  return true;
}

void WarmStance::ease(const posture::StanceProblem& problem, Care care, WarmAnswer& answer) {
  body::Posture posture = answer.posture;
  ws_.load.soft_weight = kSearchWeight;
  ws_.load.point_model = posture::PointModel::kMiddle;
  search(problem, ease_params(), ws_.load, posture);
  if (!evaluate(problem, posture, answer)) return;
  if (care != Care::kQuick && answer.effort > kNearLimit) lower_effort(problem, care, posture, answer);
}

/// From the posture of a neighbour that holds, as it meets the contacts here: its effort is near the least already, and
/// easing would lead away from it.
void WarmStance::bring_to_hold(const posture::StanceProblem& problem, WarmAnswer& answer) {
  body::Posture posture = answer.posture;
  if (!evaluate(problem, posture, answer) || is_enough(answer.effort)) return;
  if (!std::isfinite(answer.effort) && !find_balance(problem, posture, answer)) return;
  if (is_enough(answer.effort) || answer.effort > kFarFromHeld) return;
  posture::SearchParams polish = polish_params(Care::kPatient);
  polish.good_enough = 1.0;
  const double before = answer.effort;
  posture = answer.posture;
  search(problem, polish, ws_.effort_objective, posture);
  evaluate(problem, posture, answer);
  // Where more is left than was gained the rest will not do either: later iterations gain less.
  const bool is_close = answer.effort - 1.0 < std::max(before - answer.effort, kCloseToHold);
  if (is_enough(answer.effort) || !is_close) return;
  follow_kinks(problem, kFurtherPolish, 1.0, answer);
}

/// Down to something to spare for the next place.
void WarmStance::descend(const posture::StanceProblem& problem, WarmAnswer& answer) {
  body::Posture posture = answer.posture;
  if (!evaluate(problem, posture, answer) || answer.effort <= kSpare) return;
  if (!std::isfinite(answer.effort) && !find_balance(problem, posture, answer)) return;
  if (answer.effort <= kSpare || answer.effort > kHopeless) return;
  posture::SearchParams polish = polish_params(Care::kStubborn);
  polish.max_iterations = kStubbornPolish;
  polish.patience = 3;
  polish.good_enough = kSpare;
  polish.contacts.max_iterations = 12;
  posture = answer.posture;
  search(problem, polish, ws_.effort_objective, posture);
  evaluate(problem, posture, answer);
  if (answer.effort <= kSpare || answer.effort > kFarAfterPolish) return;
  const double before = answer.effort;
  follow_kinks(problem, kFirstKinks, kSpare, answer);
  // Where much more is left than was gained the rest will not do either: later evaluations gain less.
  if (answer.effort <= kSpare || answer.effort - 1.0 > kInSight * (before - answer.effort)) return;
  follow_kinks(problem, kFurtherKinks, kSpare, answer);
}

void WarmStance::follow_kinks(const posture::StanceProblem& problem, int max_evaluations, double good_enough,
                              WarmAnswer& answer) {
  posture::BundleParams bundle;
  bundle.max_evaluations = max_evaluations;
  bundle.good_enough = good_enough;
  bundle.patience = kKinksPatience;
  bundle.contacts = ease_params().contacts;
  bundle.contacts.rows.balance = asked_;
  body::Posture posture = answer.posture;
  posture::search_bundle(problem, bundle, ws_.effort_objective, posture, ws_.search.posture, bundle_);
  evaluate(problem, posture, answer);
}

bool WarmStance::meet(const posture::StanceProblem& problem, body::Posture& posture) {
  posture::ContactParams contacts = warm_contacts();
  contacts.rows.balance = asked_;
  return solve_contacts(problem, contacts, posture, ws_.search.posture).status == ContactStatus::kMet;
}

void WarmStance::search(const posture::StanceProblem& problem, posture::SearchParams params,
                        posture::Objective& objective, body::Posture& posture) {
  params.contacts.rows.balance = asked_;
  search_posture(problem, params, objective, posture, ws_.search);
}

/// Keeps posture and effort in `answer` when they are better; false when the contacts are lost.
bool WarmStance::evaluate(const posture::StanceProblem& problem, body::Posture& posture, WarmAnswer& answer) {
  WarmAnswer trial;
  trial.posture = posture;
  if (!meet(problem, trial.posture)) return false;
  trial.has_posture = true;
  posture::make_statics_problem(problem, trial.posture, ws_.search.posture.kinematics, posture::PointModel::kAll,
                                ws_.limits, ws_.statics);
  const statics::Effort effort = statics::solve_effort(ws_.statics, ws_.effort);
  const bool is_balanced = effort.status == statics::Status::kSolved;
  trial.effort = is_balanced ? effort.rho : std::numeric_limits<double>::infinity();
  trial.has_limit = is_balanced && !effort.limits.empty();
  if (trial.has_limit) trial.limit = effort.limits[0];
  if (is_better(trial, answer)) answer = trial;
  return true;
}

/// False when none is found.
bool WarmStance::find_balance(const posture::StanceProblem& problem, body::Posture& posture, WarmAnswer& answer) {
  if (posture::count_loaded(problem) >= posture::kLoadedForRegion) {
    asked_ = &balance_;
    if (!posture::enter_balance(problem, warm_contacts(), balance_, posture, ws_)) return false;
  } else {
    ws_.load.soft_weight = kStiffWeight;
    ws_.load.point_model = posture::PointModel::kAll;
    search(problem, balance_params(), ws_.load, posture);
  }
  return evaluate(problem, posture, answer);
}

void WarmStance::lower_effort(const posture::StanceProblem& problem, Care care, body::Posture posture,
                              WarmAnswer& answer) {
  if (!std::isfinite(answer.effort) && !find_balance(problem, posture, answer)) return;
  if (answer.effort > kFar) return;
  posture = answer.posture;
  search(problem, polish_params(care), ws_.effort_objective, posture);
  evaluate(problem, posture, answer);
}

bool WarmStance::is_met_without_clearance(const posture::StanceProblem& problem, const body::Posture& warm) {
  posture::ContactParams contacts = warm_contacts();
  contacts.rows.clearance = false;
  body::Posture posture = warm;
  return solve_contacts(problem, contacts, posture, ws_.search.posture).status == ContactStatus::kMet;
}

double WarmStance::find_effort(const posture::StanceProblem& problem, const body::Posture& posture) {
  body::update_kinematics(problem.body->tree, posture, ws_.search.posture.kinematics);
  posture::make_statics_problem(problem, posture, ws_.search.posture.kinematics, posture::PointModel::kAll, ws_.limits,
                                ws_.statics);
  const statics::Effort effort = statics::solve_effort(ws_.statics, ws_.effort);
  return effort.status == statics::Status::kSolved ? effort.rho : std::numeric_limits<double>::infinity();
}

}  // namespace steepwright::study
