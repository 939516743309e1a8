#include "engine/study/judge.h"

#include "engine/move/frame.h"
#include "engine/move/goals.h"
#include "engine/move/peaks.h"
#include "engine/move/solve.h"
#include "engine/move/verdict.h"

#include <algorithm>
#include <cmath>

namespace steepwright::study {

namespace {

using move::Phase;

/// The stances before, unloaded, touch and settled of one move, each from the one before it.
class FourStances {
 public:
  FourStances(const move::Scene& scene, const body::Body& body, const move::Move& move, const JudgeOptions& options,
              posture::StanceWorkspace& workspace, grip::CapacityCache& hands)
      : scene_(scene), body_(body), move_(move), options_(options), ws_(workspace), hands_(hands) {}

  move::MoveResult solve() {
    move::Stance unloaded = move_.before;
    unloaded.limbs[index_of(move_.moving)].reset();
    const move::Stance after = move::find_settled(move_);
    result_.name = move_.name;
    add(Phase::kBefore, move_.before, false);
    add(Phase::kUnloaded, unloaded, false);
    add(Phase::kTouch, after, true);
    add(Phase::kSettled, after, false);
    result_.lower_hand = move::find_lower_hand(scene_, move_);
    move::decide_verdict(result_);
    return std::move(result_);
  }

 private:
  posture::StanceProblem make_problem(const move::Stance& stance, bool is_touch) {
    posture::StanceProblem problem = move::make_stance_problem(scene_, body_, stance, hands_, swings_);
    for (posture::LimbGoal& goal : problem.limbs) {
      if (is_touch && goal.limb == move_.moving) goal.is_loaded = false;
      goal.capacity.mu *= options_.friction_factor;
    }
    return problem;
  }

  /// Takes over the forearms of a posture where they have left their bins by a quarter of one; false when none has.
  bool update_swings(const move::Stance& stance, const body::Posture& posture) {
    body::update_kinematics(body_.tree, posture, ws_.search.posture.kinematics);
    const move::ForearmSwings found = move::find_forearm_swings(scene_, body_, stance, ws_.search.posture.kinematics);
    bool has_changed = false;
    for (std::size_t hand = 0; hand < found.size(); ++hand) {
      if (!found[hand] || (swings_[hand] && std::abs(*found[hand] - *swings_[hand]) < 0.75 * grip::kForearmBin))
        continue;
      swings_[hand] = grip::round_to_forearm_bin(*found[hand]);
      has_changed = true;
    }
    return has_changed;
  }

  void add(Phase phase, const move::Stance& stance, bool is_touch) {
    const posture::StanceParams params;
    posture::StanceProblem problem = make_problem(stance, is_touch);
    posture::StanceAnswer answer = posture::solve_stance(problem, params, warm(), ws_);
    for (int pass = 1; pass < move::kForearmPasses && answer.has_posture && update_swings(stance, answer.posture);
         ++pass) {
      problem = make_problem(stance, is_touch);
      const body::Posture found = answer.posture;
      answer = posture::solve_stance(problem, params, &found, ws_);
    }
    move::Frame frame = make_frame(scene_, problem, move::find_places(stance), answer, ws_, phase);
    if (frame.has_posture) {
      warm_ = frame.posture;
    } else {
      explain_missing_posture(problem, phase, frame);
    }
    result_.frames.push_back(std::move(frame));
  }

  void explain_missing_posture(const posture::StanceProblem& problem, Phase phase, move::Frame& frame) {
    posture::StanceParams params;
    params.wanted_starts = 1;
    params.max_polish = 0;
    params.rows.clearance = false;
    const bool is_blocked = posture::solve_stance(problem, params, warm(), ws_).has_posture;
    frame.cause = is_blocked ? move::Cause::kClearance : move::Cause::kReach;
    frame.limit = is_blocked ? "wall or room in the way" : "the holds are too far apart";
    explain_reach(problem, phase, is_blocked, frame);
  }

  /// Once the limb is at its target the question is about that limb; before, about whichever is nearest to done.
  void explain_reach(const posture::StanceProblem& problem, Phase phase, bool is_blocked, move::Frame& frame) {
    const bool is_after = phase == Phase::kTouch || phase == Phase::kSettled;
    for (std::size_t i = 0; i < problem.limbs.size(); ++i) {
      if (is_after && problem.limbs[i].limb != move_.moving) continue;
      const posture::NearestReach nearest =
          posture::solve_nearest_reach(problem, static_cast<int>(i), posture::StanceParams{}, warm(), ws_);
      if (!nearest.has_posture || (frame.reach_short_m && nearest.distance_m >= *frame.reach_short_m)) continue;
      frame.reach_short_m = nearest.distance_m;
      frame.limit_limb = problem.limbs[i].limb;
    }
    if (frame.limit_limb && !is_blocked) frame.limit = std::string(long_name(*frame.limit_limb)) + " does not reach";
  }

  [[nodiscard]] const body::Posture* warm() const { return warm_ ? &*warm_ : nullptr; }

  const move::Scene& scene_;
  const body::Body& body_;
  const move::Move& move_;
  const JudgeOptions& options_;
  posture::StanceWorkspace& ws_;
  grip::CapacityCache& hands_;
  move::ForearmSwings swings_;
  move::MoveResult result_;
  std::optional<body::Posture> warm_;
};

std::optional<double> find_slip_margin(const move::MoveResult& result) {
  std::optional<double> least;
  if (!result.lower_hand) return least;
  for (const move::Frame& frame : result.frames) {
    if (!frame.has_posture || !std::isfinite(frame.effort)) continue;
    for (const move::ContactResult& contact : frame.contacts) {
      if (contact.limb != *result.lower_hand || !contact.is_loaded) continue;
      least = std::min(least.value_or(contact.slip_margin), contact.slip_margin);
    }
  }
  return least;
}

}  // namespace

struct Judge::Storage {
  Storage(const move::Climber& climber, const body::Body& its_body, const JudgeOptions& its_options)
      : body(its_body), options(its_options), workspace(its_body), hands(move::make_climber_hand(climber, its_body)) {}

  const body::Body& body;
  JudgeOptions options;
  posture::StanceWorkspace workspace;
  grip::CapacityCache hands;
};

Judge::Judge(const move::Climber& climber, const body::Body& body, const JudgeOptions& options)
    : storage_(std::make_unique<Storage>(climber, body, options)) {}
Judge::~Judge() = default;

Judged Judge::judge(const move::Scene& scene, const move::Move& move) {
  Storage& storage = *storage_;
  move::SolveOptions traced;
  traced.friction_factor = storage.options.friction_factor;
  const move::MoveResult result =
      storage.options.judging == Judging::kTrace
          ? move::solve_move(scene, storage.body, move, traced, storage.workspace, storage.hands)
          : FourStances(scene, storage.body, move, storage.options, storage.workspace, storage.hands).solve();
  Judged judged;
  judged.is_held = result.verdict == move::Verdict::kStatic;
  judged.effort = result.effort_peak;
  judged.slip_margin = find_slip_margin(result);
  judged.cause = result.cause;
  judged.limb = result.deciding_limb;
  if (result.shortfall.reach_mm) judged.short_m = 1e-3 * *result.shortfall.reach_mm;
  judged.text = result.cause_text;
  judged.move = result.name;
  return judged;
}

Judged Judge::judge_all(const move::Scene& scene) {
  Judged hardest;
  bool has_one = false;
  for (const move::Move& move : scene.moves) {
    const Judged judged = judge(scene, move);
    if (!has_one || judged.effort > hardest.effort || !judged.is_held) hardest = judged;
    has_one = true;
    if (!judged.is_held) break;
  }
  return hardest;
}

}  // namespace steepwright::study
