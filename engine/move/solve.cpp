#include "engine/move/solve.h"

#include "engine/move/frame.h"
#include "engine/move/goals.h"
#include "engine/move/verdict.h"

#include <algorithm>
#include <cmath>

namespace steepwright::move {

namespace {

using posture::StanceAnswer;
using posture::StanceProblem;

class MoveSolver {
 public:
  MoveSolver(const Scene& scene, const body::Body& body, const Move& move, const SolveOptions& options,
             posture::StanceWorkspace& ws, grip::CapacityCache& hands)
      : scene_(scene), body_(body), move_(move), options_(options), ws_(ws), hands_(hands) {}

  MoveResult solve() {
    result_.name = move_.name;
    Stance unloaded = move_.before;
    unloaded.limbs[index_of(move_.moving)].reset();
    Stance after = unloaded;
    after.limbs[index_of(move_.moving)] = move_.target;

    add(Phase::kBefore, move_.before, false);
    add(Phase::kUnloaded, unloaded, false);
    add(Phase::kTouch, after, true);
    add(Phase::kSettled, after, false);
    for (std::size_t i = 0; i < result_.frames.size(); ++i) {
      result_.frames[i].t = static_cast<double>(i) / static_cast<double>(result_.frames.size() - 1);
    }
    find_lower_hand();
    decide_verdict(result_);
    return result_;
  }

 private:
  StanceProblem make_problem(const Stance& stance, bool is_touch) {
    StanceProblem problem = make_stance_problem(scene_, body_, stance, hands_, swings_);
    for (posture::LimbGoal& goal : problem.limbs) {
      if (is_touch && goal.limb == move_.moving) goal.is_loaded = false;
    }
    return problem;
  }

  /// Takes over the forearms of the answer's posture where they have left their bins; false when none has.
  bool update_swings(const Stance& stance) {
    body::update_kinematics(body_.tree, answer_.posture, ws_.search.posture.kinematics);
    const ForearmSwings found = find_forearm_swings(scene_, body_, stance, ws_.search.posture.kinematics);
    bool has_changed = false;
    for (std::size_t hand = 0; hand < found.size(); ++hand) {
      // Three quarters of a bin, not half: a forearm on the border shall not change the set back and forth.
      if (!found[hand] || (swings_[hand] && std::abs(*found[hand] - *swings_[hand]) < 0.75 * grip::kForearmBin))
        continue;
      swings_[hand] = grip::round_to_forearm_bin(*found[hand]);
      has_changed = true;
    }
    return has_changed;
  }

  StanceProblem solve(const Stance& stance, bool is_touch) {
    StanceProblem problem = make_problem(stance, is_touch);
    answer_ = posture::solve_stance(problem, options_.stance, find_warm(), ws_);
    for (int pass = 1; pass < kForearmPasses && answer_.has_posture && update_swings(stance); ++pass) {
      problem = make_problem(stance, is_touch);
      const body::Posture found = answer_.posture;
      answer_ = posture::solve_stance(problem, options_.stance, &found, ws_);
    }
    return problem;
  }

  void add(Phase phase, const Stance& stance, bool is_touch) {
    const StanceProblem problem = solve(stance, is_touch);
    Explanation explanation;
    if (!answer_.has_posture) explanation = explain_missing_posture(problem, phase);
    Frame frame = make_frame(scene_, problem, find_places(stance), answer_, ws_, phase);
    if (frame.has_posture) {
      warm_ = frame.posture;
      has_warm_ = true;
    } else {
      explanation.write(frame);
    }
    result_.frames.push_back(std::move(frame));
  }

  /// Why no posture meets the stance.
  struct Explanation {
    Cause cause = Cause::kReach;
    std::string limit;
    std::optional<Limb> limb;
    std::optional<double> reach_short_m, obstruction_m;

    void write(Frame& frame) const {
      frame.cause = cause;
      frame.limit = limit;
      frame.limit_limb = limb;
      frame.reach_short_m = reach_short_m;
      frame.obstruction_m = obstruction_m;
    }
  };

  /// Is a part of the body in the way, or is the place out of reach, and by how much? Leaves the telling posture in
  /// answer_.
  Explanation explain_missing_posture(const StanceProblem& problem, Phase phase) {
    Explanation explanation = explain_reach(problem, phase);
    posture::StanceParams params = options_.stance;
    params.wanted_starts = 1;
    params.max_polish = 0;
    params.rows.clearance = false;
    const StanceAnswer through = posture::solve_stance(problem, params, find_warm(), ws_);
    if (through.has_posture) {
      const posture::Obstruction obstruction = posture::solve_least_obstruction(problem, params, through.posture, ws_);
      explanation.cause = Cause::kClearance;
      explanation.obstruction_m = -obstruction.clearance_m;
      explanation.limit = obstruction.capsule + " in " + wall::describe(scene_.wall, obstruction.obstacle);
      answer_.posture = obstruction.posture;
    }
    posture::solve_answers(problem, ws_, answer_);
    answer_.violation =
        posture::find_violation(problem, answer_.posture, ws_.search.posture.kinematics, options_.stance.rows);
    return explanation;
  }

  Explanation explain_reach(const StanceProblem& problem, Phase phase) {
    Explanation explanation;
    double nearest_m = 1e30;
    for (std::size_t i = 0; i < problem.limbs.size(); ++i) {
      // Once the limb is at its target the question is about that limb; before, about whichever is nearest to done.
      const bool is_after = phase == Phase::kTouch || phase == Phase::kSettled;
      if (is_after && problem.limbs[i].limb != move_.moving) continue;
      const posture::NearestReach nearest =
          posture::solve_nearest_reach(problem, static_cast<int>(i), options_.stance, find_warm(), ws_);
      if (!nearest.has_posture || nearest.distance_m >= nearest_m) continue;
      nearest_m = nearest.distance_m;
      explanation.limb = problem.limbs[i].limb;
      explanation.reach_short_m = nearest.distance_m;
      answer_.posture = nearest.posture;
    }
    explanation.limit = explanation.limb ? std::string(long_name(*explanation.limb)) + " does not reach"
                                         : "the holds are too far apart";
    return explanation;
  }

  /// The last posture found along the move; nullptr before there is one.
  [[nodiscard]] const body::Posture* find_warm() const { return has_warm_ ? &warm_ : nullptr; }

  void find_lower_hand() {
    if (!is_hand(move_.moving)) return;
    const Limb other = move_.moving == Limb::kLeftHand ? Limb::kRightHand : Limb::kLeftHand;
    const std::optional<LimbPlace>& place = move_.before.limbs[index_of(other)];
    if (!place) return;
    if (find_site_pose(scene_, *place).p.z() < find_site_pose(scene_, move_.target).p.z()) result_.lower_hand = other;
  }

  const Scene& scene_;
  const body::Body& body_;
  const Move& move_;
  const SolveOptions& options_;
  posture::StanceWorkspace& ws_;
  grip::CapacityCache& hands_;
  ForearmSwings swings_;  ///< bins of the forearms whose sets are in use
  MoveResult result_;
  StanceAnswer answer_;
  body::Posture warm_;
  bool has_warm_ = false;
};

}  // namespace

MoveResult solve_move(const Scene& scene, const body::Body& body, const Move& move, const SolveOptions& options,
                      posture::StanceWorkspace& workspace, grip::CapacityCache& hands) {
  return MoveSolver(scene, body, move, options, workspace, hands).solve();
}

std::vector<MoveResult> solve_moves(const Scene& scene, const body::Body& body, const SolveOptions& options) {
  std::vector<MoveResult> results;
  posture::StanceWorkspace workspace(body);
  grip::CapacityCache hands(make_climber_hand(scene.climber, body));
  const int total = static_cast<int>(scene.moves.size());
  for (int i = 0; i < total; ++i) {
    if (options.on_progress && !options.on_progress(i, total)) break;
    results.push_back(solve_move(scene, body, scene.moves[static_cast<std::size_t>(i)], options, workspace, hands));
  }
  return results;
}

}  // namespace steepwright::move
