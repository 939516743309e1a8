#include "engine/move/instant.h"

#include "engine/core/units.h"
#include "engine/move/frame.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace steepwright::move {

namespace {

using posture::LimbGoal;
using posture::StanceAnswer;
using posture::StanceProblem;

/// Three quarters of a bin, not half: a forearm on the border shall not change the set back and forth.
constexpr double kBinReach = 0.75 * grip::kForearmBin;

/// Starts of a key stance that is solved again with the sets of the forearms found.
constexpr int kAgainStarts = 2;

/// Iterations on the effort of a frame between key stances, whose neighbours have been improved already.
constexpr int kNearPolish = 30;
/// Draw to the start in a frame's search: stronger than comfort, so that neighbours stay neighbours.
constexpr double kNearWeight = 0.05;

void scale_strength(double factor, LimbGoal& goal) {
  for (HalfSpace& bound : goal.capacity.bounds) bound.b_N *= factor;
  goal.scale_N *= factor;
}

void give_share(double share, LimbGoal& goal) {
  if (share <= 0.0) goal.is_loaded = false;
  if (share >= 1.0 || share <= 0.0) return;
  scale_strength(share, goal);
}

LimbGoal make_air_goal(const body::Body& body, const InAir& in_air) {
  LimbGoal goal;
  goal.limb = in_air.limb;
  goal.segment = body.station(in_air.limb, Grip::kOpenHand).segment;
  goal.p_BC = in_air.p_BC;
  goal.p_WC = in_air.p_WC;
  goal.points = {in_air.p_WC};
  goal.is_loaded = false;
  goal.is_in_air = true;
  goal.keeps_clear = in_air.keeps_clear;
  return goal;
}

double find_guess(double factor) { return std::isfinite(factor) ? factor : 0.0; }

/// Takes over the bins of the forearms that have left theirs; false when none has.
bool update_bins(const ForearmSwings& found, ForearmSwings& swings) {
  bool has_changed = false;
  for (std::size_t hand = 0; hand < found.size(); ++hand) {
    if (!found[hand] || (swings[hand] && std::abs(*found[hand] - *swings[hand]) < kBinReach)) continue;
    swings[hand] = grip::round_to_forearm_bin(*found[hand]);
    has_changed = true;
  }
  return has_changed;
}

}  // namespace

StanceProblem InstantSolver::make_problem(const Instant& instant, const ForearmSwings& swings) const {
  StanceProblem problem = make_stance_problem(scene_, body_, instant.stance, hands_, swings);
  for (LimbGoal& goal : problem.limbs) {
    goal.capacity.mu *= options_.friction_factor;
    if (is_hand(goal.limb)) scale_strength(options_.hand_factor, goal);
    give_share(instant.load_share[index_of(goal.limb)], goal);
  }
  if (instant.in_air) problem.limbs.push_back(make_air_goal(body_, *instant.in_air));
  return problem;
}

ForearmSwings InstantSolver::find_swings(const Instant& instant, const body::Posture& posture) const {
  body::update_poses(body_.tree, posture, ws_.search.posture.kinematics);
  return find_forearm_swings(scene_, body_, instant.stance, ws_.search.posture.kinematics);
}

Vec3 InstantSolver::find_contact_point(const body::Posture& posture, Limb limb, const Vec3& p_BC) const {
  body::update_poses(body_.tree, posture, ws_.search.posture.kinematics);
  return body::find_position(ws_.search.posture.kinematics, body_.station(limb, Grip::kOpenHand).segment, p_BC);
}

StanceAnswer InstantSolver::solve_stance(const StanceProblem& problem, const posture::StanceParams& params,
                                         const body::Posture* warm) const {
  check_cancelled();
  body::Posture start;
  if (warm != nullptr) start = chirality_.to_common(*warm);
  return chirality_.from_common(
      problem, posture::solve_stance(chirality_.to_common(problem), params, warm != nullptr ? &start : nullptr, ws_));
}

StanceAnswer InstantSolver::solve_stance_near(const StanceProblem& problem, posture::StanceParams params,
                                              const body::Posture& start, double wanted_effort) const {
  check_cancelled();
  const body::Posture common_start = chirality_.to_common(start);
  params.rest = common_start.angles;
  return chirality_.from_common(
      problem, posture::solve_stance_near(chirality_.to_common(problem), params, common_start, wanted_effort, ws_));
}

SolvedInstant InstantSolver::solve_key(const Instant& instant, const body::Posture* warm, const ForearmSwings& swings,
                                       Starts starts) const {
  posture::StanceParams params = options_.stance;
  if (starts == Starts::kWarmOnly) params.wanted_starts = params.max_starts = params.extra_starts = 0;
  SolvedInstant solved;
  solved.swings = swings;
  solved.problem = make_problem(instant, solved.swings);
  solved.answer = solve_stance(solved.problem, params, warm);
  for (int pass = 1; pass < kForearmPasses && solved.answer.has_posture; ++pass) {
    if (!update_bins(find_swings(instant, solved.answer.posture), solved.swings)) break;
    solved.problem = make_problem(instant, solved.swings);
    const body::Posture found = solved.answer.posture;
    // The first pass has looked around; a changed set asks for a look from where it led.
    params.extra_starts = 0;
    params.wanted_starts = std::min(params.wanted_starts, kAgainStarts);
    solved.answer = solve_stance(solved.problem, params, &found);
  }
  return solved;
}

SolvedInstant InstantSolver::solve_near(const Instant& instant, const body::Posture& start, double wanted_effort,
                                        double friction_guess) const {
  posture::StanceParams params = options_.stance;
  params.comfort_weight = kNearWeight;
  params.friction_guess = find_guess(friction_guess);
  params.max_polish = std::min(params.max_polish, kNearPolish);
  SolvedInstant solved;
  update_bins(find_swings(instant, start), solved.swings);
  solved.problem = make_problem(instant, solved.swings);
  solved.answer = solve_stance_near(solved.problem, params, start, wanted_effort);
  if (solved.answer.has_posture && update_bins(find_swings(instant, solved.answer.posture), solved.swings)) {
    solved.problem = make_problem(instant, solved.swings);
    const body::Posture found = solved.answer.posture;
    const StanceAnswer again = solve_stance_near(solved.problem, params, found, wanted_effort);
    if (again.has_posture) solved.answer = again;
  }
  return solved;
}

/// Why no posture meets an instant.
struct InstantSolver::Explanation {
  Cause cause = Cause::kReach;
  std::string limit;
  std::optional<Limb> limb;
  std::optional<double> reach_short_m, obstruction_m;
  std::optional<body::Posture> reached;
};

posture::NearestReach InstantSolver::solve_nearest_reach(const StanceProblem& problem, Limb limb,
                                                         const body::Posture* warm) const {
  check_cancelled();
  const StanceProblem common = chirality_.to_common(problem);
  int index = 0;
  while (common.limbs[static_cast<std::size_t>(index)].limb != chirality_.limb(limb)) ++index;
  body::Posture start;
  if (warm != nullptr) start = chirality_.to_common(*warm);
  posture::NearestReach nearest =
      posture::solve_nearest_reach(common, index, options_.stance, warm != nullptr ? &start : nullptr, ws_);
  if (nearest.has_posture) nearest.posture = chirality_.from_common(nearest.posture);
  return nearest;
}

StanceAnswer InstantSolver::solve_answers(const StanceProblem& problem, StanceAnswer answer) const {
  answer.posture = chirality_.to_common(answer.posture);
  posture::solve_answers(chirality_.to_common(problem), ws_, answer);
  return chirality_.from_common(problem, answer);
}

/// The part of the body and what it is in are found anew in the scene's own sense: they have names.
posture::Obstruction InstantSolver::solve_least_obstruction(const StanceProblem& problem,
                                                            const posture::StanceParams& params,
                                                            const body::Posture& start) const {
  posture::Obstruction obstruction =
      posture::solve_least_obstruction(chirality_.to_common(problem), params, chirality_.to_common(start), ws_);
  obstruction.posture = chirality_.from_common(obstruction.posture);
  if (obstruction.capsule.empty()) return obstruction;
  body::update_kinematics(body_.tree, obstruction.posture, ws_.search.posture.kinematics);
  const posture::Violation violation =
      posture::find_violation(problem, obstruction.posture, ws_.search.posture.kinematics, {});
  obstruction.capsule = body_.capsules[static_cast<std::size_t>(violation.clearance_capsule)].name;
  obstruction.obstacle = wall::find_nearest(scene_.wall, violation.clearance_p_WQ);
  return obstruction;
}

InstantSolver::Explanation InstantSolver::explain_reach(const StanceProblem& problem, std::optional<Limb> asked,
                                                        const body::Posture* warm, StanceAnswer& answer) const {
  Explanation explanation;
  double nearest_m = 1e30;
  for (std::size_t i = 0; i < problem.limbs.size(); ++i) {
    if (asked && problem.limbs[i].limb != *asked) continue;
    const posture::NearestReach nearest = solve_nearest_reach(problem, problem.limbs[i].limb, warm);
    if (!nearest.has_posture || nearest.distance_m >= nearest_m) continue;
    nearest_m = nearest.distance_m;
    explanation.limb = problem.limbs[i].limb;
    explanation.reach_short_m = nearest.distance_m;
    explanation.reached = nearest.posture;
    answer.posture = nearest.posture;
  }
  explanation.limit =
      explanation.limb ? std::string(long_name(*explanation.limb)) + " does not reach" : "the holds are too far apart";
  return explanation;
}

/// Is a part of the body in the way, or is the place out of reach, and by how much? Leaves the telling posture in
/// the answer.
InstantSolver::Explanation InstantSolver::explain_missing_posture(const StanceProblem& problem,
                                                                  std::optional<Limb> asked, const body::Posture* warm,
                                                                  StanceAnswer& answer) const {
  Explanation explanation = explain_reach(problem, asked, warm, answer);
  posture::StanceParams params = options_.stance;
  params.wanted_starts = 1;
  params.max_polish = 0;
  params.rows.clearance = false;
  const StanceAnswer through = solve_stance(problem, params, warm);
  if (through.has_posture) {
    const posture::Obstruction obstruction = solve_least_obstruction(problem, params, through.posture);
    explanation.cause = Cause::kClearance;
    explanation.obstruction_m = -obstruction.clearance_m;
    explanation.limit = obstruction.capsule + " in " + wall::describe(scene_.wall, obstruction.obstacle);
    answer.posture = obstruction.posture;
  }
  answer = solve_answers(problem, answer);
  answer.violation =
      posture::find_violation(problem, answer.posture, ws_.search.posture.kinematics, options_.stance.rows);
  return explanation;
}

void InstantSolver::describe_hands(const Instant& instant, const SolvedInstant& solved, Frame& frame) const {
  const ForearmSwings swings = find_swings(instant, frame.posture);
  for (ContactResult& contact : frame.contacts) {
    contact.load_share = instant.load_share[index_of(contact.limb)];
    if (!is_hand(contact.limb)) continue;
    const std::size_t side = is_left(contact.limb) ? 0 : 1;
    contact.forearm_swing = swings[side];
    contact.set_forearm_swing = solved.swings[side];
    if (!contact.grip || !contact.set_forearm_swing) continue;
    contact.set_name =
        fmt::format("{}, forearm at {:.0f}°", name_of(*contact.grip), deg_from_rad(*contact.set_forearm_swing));
  }
}

Frame InstantSolver::make_frame(const Instant& instant, SolvedInstant& solved, std::optional<Limb> asked,
                                const body::Posture* warm) const {
  Explanation explanation;
  StanceAnswer& answer = solved.answer;
  if (!answer.has_posture && !options_.verdict_only) {
    explanation = explain_missing_posture(solved.problem, asked, warm, answer);
    solved.reached = explanation.reached;
  }
  Frame frame = move::make_frame(scene_, solved.problem, find_places(instant.stance), answer, ws_, instant.phase);
  describe_hands(instant, solved, frame);
  if (instant.in_air) frame.p_Wmoving = find_contact_point(frame.posture, instant.in_air->limb, instant.in_air->p_BC);
  if (frame.has_posture) return frame;
  frame.cause = explanation.cause;
  frame.limit = explanation.limit;
  frame.limit_limb = explanation.limb;
  frame.reach_short_m = explanation.reach_short_m;
  frame.obstruction_m = explanation.obstruction_m;
  return frame;
}

}  // namespace steepwright::move
