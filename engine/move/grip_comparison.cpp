#include "engine/move/grip_comparison.h"

#include "engine/body/kinematics.h"
#include "engine/grip/judge.h"
#include "engine/move/goals.h"
#include "engine/move/parallel.h"
#include "engine/move/peaks.h"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <limits>
#include <memory>

namespace steepwright::move {

namespace {

constexpr double kBeyond_m = 1.0;  ///< how far past its target a hand reaches for the comparison of reach

/// One move to trace: which hand, at its hold or its target, with which grip.
struct Task {
  std::size_t comparison = 0;
  Grip grip = Grip::kOpenHand;
};

/// What one thread needs.
struct Workshop {
  posture::StanceWorkspace stances;
  grip::CapacityCache hands;
  grip::FingerSearch fingers;
  Workshop(const Scene& scene, const body::Body& body) : stances(body), hands(make_climber_hand(scene.climber, body)) {}
};

const LimbPlace& place_of(const Move& move, const GripComparison& comparison) {
  return comparison.is_target ? move.target : *move.before.limbs[index_of(comparison.limb)];
}

/// The move with another grip of the compared hand.
Move with_grip(Move move, const GripComparison& comparison, Grip grip) {
  (comparison.is_target ? move.target : *move.before.limbs[index_of(comparison.limb)]).grip = grip;
  return move;
}

class GripComparer {
 public:
  GripComparer(const Scene& scene, const body::Body& body, const Move& move, const GripComparisonOptions& options)
      : scene_(scene), body_(body), move_(move), options_(options) {}

  std::vector<GripComparison> compare() {
    if (!is_hand(move_.moving)) return {};
    if (const auto lower = find_lower_hand(scene_, move_)) add_comparison(*lower, false);
    if (move_.target.hold >= 0) add_comparison(move_.moving, true);
    std::atomic<int> done = 0;
    std::atomic<bool> is_stopped = false;
    const int total = static_cast<int>(tasks_.size());
    PerThread<Workshop> workshops(count_threads(total, options_.threads),
                                  [this] { return std::make_unique<Workshop>(scene_, body_); });
    reaches_.resize(tasks_.size());
    results_.resize(tasks_.size());
    MoveResult traced_here;
    own_ = options_.known;
    if (own_ == nullptr && total > 0) {
      traced_here = solve_move(scene_, body_, move_, options_.solve, workshops.at(0).stances, workshops.at(0).hands);
      own_ = &traced_here;
    }
    run_parallel(total, options_.threads, [&](int i, int thread) {
      if (thread == 0 && options_.on_progress && !options_.on_progress(done, total)) is_stopped = true;
      if (is_stopped) return;
      solve(static_cast<std::size_t>(i), workshops.at(thread));
      ++done;
    });
    if (is_stopped) return {};
    const std::vector<Reach> first = reaches_;
    const std::vector<const MoveResult*> best = find_best();
    run_parallel(total, options_.threads, [&](int i, int thread) {
      improve_reach(static_cast<std::size_t>(i), first, workshops.at(thread));
      improve_move(static_cast<std::size_t>(i), best, workshops.at(thread));
    });
    fill_reach_gains();
    return std::move(comparisons_);
  }

 private:
  void add_comparison(Limb limb, bool is_target) {
    GripComparison comparison;
    comparison.limb = limb;
    comparison.is_target = is_target;
    const LimbPlace& place = place_of(move_, comparison);
    const hold::Site site = find_site(scene_, place);
    comparison.hold = scene_.holds[static_cast<std::size_t>(place.hold)].name;
    comparison.site = site.name;
    const grip::Hand hand = make_climber_hand(scene_.climber, body_);
    for (const Grip grip : kGrips) {
      const std::string reason = grip::why_not(site, grip, hand);
      if (!reason.empty() && grip != place.grip) {
        comparison.shut.push_back({grip, reason});
        continue;
      }
      tasks_.push_back({comparisons_.size(), grip});
      ComparedGrip compared;
      compared.grip = grip;
      compared.is_own = grip == place.grip;
      comparison.grips.push_back(compared);
    }
    comparisons_.push_back(std::move(comparison));
  }

  [[nodiscard]] ComparedGrip& find_compared(const Task& task) {
    std::vector<ComparedGrip>& grips = comparisons_[task.comparison].grips;
    return *std::find_if(grips.begin(), grips.end(),
                         [&task](const ComparedGrip& compared) { return compared.grip == task.grip; });
  }

  /// Of the moving hand along its way, and the posture that gives it; not a number where there is none.
  struct Reach {
    double length_m = std::numeric_limits<double>::quiet_NaN();
    body::Posture posture;
  };

  void solve(std::size_t i, Workshop& workshop) {
    const Task& task = tasks_[i];
    const Move move = with_grip(move_, comparisons_[task.comparison], task.grip);
    // Both hands' own grips are the move itself; the others may stand as it does.
    results_[i] = find_compared(task).is_own ? *own_ : solve_like(*own_, move, workshop);
    read_result(task, results_[i], move, workshop);
    const body::Posture* warm = nullptr;
    for (const Frame& frame : results_[i].frames) {
      if (frame.posture.angles.size() == body_.tree.n_hinges() && frame.phase <= Phase::kTouch) warm = &frame.posture;
    }
    reaches_[i] = find_reach(move, warm, workshop);
  }

  [[nodiscard]] MoveResult solve_like(const MoveResult& like, const Move& move, Workshop& workshop) const {
    SolveOptions options = options_.solve;
    options.like = &like;
    return solve_move(scene_, body_, move, options, workshop.stances, workshop.hands);
  }

  void read_result(const Task& task, const MoveResult& result, const Move& move, Workshop& workshop) {
    ComparedGrip compared;
    compared.grip = task.grip;
    compared.is_own = find_compared(task).is_own;
    compared.verdict = result.verdict;
    compared.cause = result.cause;
    compared.cause_text = result.cause_text;
    compared.effort_peak = result.effort_peak;
    read_hand(result, move, comparisons_[task.comparison], workshop, compared);
    find_compared(task) = compared;
  }

  /// The trace of least effort of each comparison.
  [[nodiscard]] std::vector<const MoveResult*> find_best() const {
    std::vector<const MoveResult*> best(comparisons_.size(), nullptr);
    for (std::size_t i = 0; i < tasks_.size(); ++i) {
      const MoveResult*& of = best[tasks_[i].comparison];
      if (of == nullptr || results_[i].effort_peak < of->effort_peak) of = &results_[i];
    }
    return best;
  }

  /// A grip shall not fail because its own starts were poor: it is tried once more as the best one stands.
  void improve_move(std::size_t i, const std::vector<const MoveResult*>& best, Workshop& workshop) {
    const Task& task = tasks_[i];
    const MoveResult& like = *best[task.comparison];
    if (results_[i].verdict == Verdict::kStatic || find_compared(task).is_own || &like == &results_[i]) return;
    const Move move = with_grip(move_, comparisons_[task.comparison], task.grip);
    const MoveResult again = solve_like(like, move, workshop);
    const bool is_better = again.verdict == Verdict::kStatic || again.effort_peak < results_[i].effort_peak;
    if (is_better) read_result(task, again, move, workshop);
  }

  /// Of the compared hand at the place that is compared; nullptr in frames in which it does not carry there.
  [[nodiscard]] const ContactResult* find_carrying(const Frame& frame, const Move& move,
                                                   const GripComparison& comparison) const {
    constexpr double kSameSite_m = 0.1;
    const ContactResult* contact = frame.has_posture ? frame.find_contact(comparison.limb) : nullptr;
    if (contact == nullptr || !contact->is_loaded || contact->f_C_W.norm() < kCarries_N) return nullptr;
    const Vec3 p_WS = find_site_pose(scene_, place_of(move, comparison)).p;
    return (contact->p_WC - p_WS).norm() < kSameSite_m ? contact : nullptr;
  }

  static void keep_least(const SlipOff& slip_off, std::optional<SlipOff>& least) {
    if (!least || slip_off.margin < least->margin) least = slip_off;
  }

  /// Margin, use, load and fingers of the compared hand.
  void read_hand(const MoveResult& result, const Move& move, const GripComparison& comparison, Workshop& workshop,
                 ComparedGrip& compared) const {
    const Frame* fullest = nullptr;
    for (const Frame& frame : result.frames) {
      const ContactResult* contact = find_carrying(frame, move, comparison);
      if (contact == nullptr) continue;
      compared.slip_margin = std::min(compared.slip_margin.value_or(contact->slip_margin), contact->slip_margin);
      keep_least(contact->slip_off, compared.slip_off);
      compared.use_peak = std::max(compared.use_peak.value_or(0.0), contact->capacity_use);
      if (contact->f_C_W.norm() <= compared.load_peak_N) continue;
      compared.load_peak_N = contact->f_C_W.norm();
      fullest = &frame;
    }
    if (fullest != nullptr) {
      read_fingers(*fullest, *find_carrying(*fullest, move, comparison), move, comparison, workshop, compared);
    }
    hold_same_pulls(move, comparison, workshop, compared);
  }

  /// What this grip would have left in the move as it is: its sets, the move's own forces and forearms.
  void hold_same_pulls(const Move& move, const GripComparison& comparison, Workshop& workshop,
                       ComparedGrip& compared) const {
    const LimbPlace& place = place_of(move, comparison);
    const hold::Site site = find_site(scene_, place);
    const Mat3 R_WS = find_site_pose(scene_, place).R;
    for (const Frame& frame : own_->frames) {
      const ContactResult* contact = find_carrying(frame, move, comparison);
      if (contact == nullptr || !contact->set_forearm_swing) continue;
      CapacitySet set = workshop.hands.find(site, compared.grip, *contact->set_forearm_swing).rotated(R_WS);
      set.mu *= options_.solve.friction_factor;
      // Bounds that grow by a share hold as much of a force as those that do not of one that is smaller by it.
      const Vec3 f_C_W = contact->f_C_W / (options_.solve.hand_factor * contact->load_share);
      keep_least(find_slip_off(set, f_C_W, contact->lip_W), compared.slip_off_same_pulls);
      compared.use_same_pulls = std::max(compared.use_same_pulls.value_or(0.0), find_capacity_use(set, f_C_W));
    }
  }

  void read_fingers(const Frame& frame, const ContactResult& contact, const Move& move,
                    const GripComparison& comparison, Workshop& workshop, ComparedGrip& compared) const {
    if (compared.grip == Grip::kPinch) return;
    const LimbPlace& place = place_of(move, comparison);
    const hold::Site site = find_site(scene_, place);
    body::Kinematics kinematics;
    body::update_kinematics(body_.tree, frame.posture, kinematics);
    Stance stance;
    stance.limbs[index_of(comparison.limb)] = place;
    const auto swing = find_forearm_swings(scene_, body_, stance, kinematics)[is_left(comparison.limb) ? 0 : 1];
    const Vec3 f_C_S = find_site_pose(scene_, place).R.transpose() * contact.f_C_W;
    const grip::HandTask task{&site, compared.grip, &workshop.hands.hand(),
                              grip::round_to_forearm_bin(swing.value_or(0.0))};
    const grip::HandAlong along = grip::calc_hand_along(task, std::atan2(f_C_S.y(), f_C_S.z()), workshop.fingers);
    if (along.force_N <= 0.0) return;
    for (std::size_t finger = 0; finger < along.fingers.size(); ++finger) {
      if (along.fingers[finger])
        compared.fingers_N[finger] = contact.f_C_W.norm() * along.fingers[finger]->force_N / along.force_N;
    }
  }

  /// How far the moving hand comes along the line from where it is to its target and on.
  [[nodiscard]] Reach find_reach(const Move& move, const body::Posture* warm, Workshop& workshop) const {
    const std::optional<LimbPlace>& from = move.before.limbs[index_of(move.moving)];
    const Vec3 target_W = find_site_pose(scene_, move.target).p;
    const Vec3 start_W = from ? find_site_pose(scene_, *from).p : Vec3(target_W - Vec3::UnitZ());
    const Vec3 ahead_W = (target_W - start_W).normalized();
    const Stance after = find_settled(move);
    posture::StanceProblem problem = make_stance_problem(scene_, body_, after, workshop.hands);
    Reach reach;
    for (std::size_t i = 0; i < problem.limbs.size(); ++i) {
      posture::LimbGoal& goal = problem.limbs[i];
      if (goal.limb != move.moving) continue;
      goal.is_loaded = false;
      goal.p_WC += kBeyond_m * ahead_W;
      const posture::NearestReach nearest =
          posture::solve_nearest_reach(problem, static_cast<int>(i), options_.solve.stance, warm, workshop.stances);
      if (!nearest.has_posture) break;
      body::Kinematics kinematics;
      body::update_kinematics(body_.tree, nearest.posture, kinematics);
      reach = {ahead_W.dot(body::find_position(kinematics, goal.segment, goal.p_BC) - start_W), nearest.posture};
    }
    return reach;
  }

  /// The search ends in the nearest best posture: those of the other grips are tried as starts too, so that the
  /// difference is the grips' and not the starts'.
  void improve_reach(std::size_t i, const std::vector<Reach>& first, Workshop& workshop) {
    const GripComparison& comparison = comparisons_[tasks_[i].comparison];
    const Move move = with_grip(move_, comparison, tasks_[i].grip);
    for (std::size_t k = 0; k < first.size(); ++k) {
      if (k == i || tasks_[k].comparison != tasks_[i].comparison || !std::isfinite(first[k].length_m)) continue;
      const Reach reach = find_reach(move, &first[k].posture, workshop);
      if (std::isfinite(reach.length_m) && !(reach.length_m <= reaches_[i].length_m)) reaches_[i] = reach;
    }
  }

  void fill_reach_gains() {
    for (std::size_t i = 0; i < tasks_.size(); ++i) {
      for (std::size_t k = 0; k < tasks_.size(); ++k) {
        if (tasks_[k].comparison != tasks_[i].comparison || !find_compared(tasks_[k]).is_own) continue;
        const double gain_m = reaches_[i].length_m - reaches_[k].length_m;
        if (std::isfinite(gain_m)) find_compared(tasks_[i]).reach_gain_m = gain_m;
      }
    }
  }

  const Scene& scene_;
  const body::Body& body_;
  const Move& move_;
  const GripComparisonOptions& options_;
  const MoveResult* own_ = nullptr;  ///< the move with its own grips
  std::vector<GripComparison> comparisons_;
  std::vector<Task> tasks_;
  std::vector<Reach> reaches_;       ///< of the tasks
  std::vector<MoveResult> results_;  ///< the same, first traced
};

}  // namespace

std::vector<GripComparison> compare_grips(const Scene& scene, const body::Body& body, const Move& move,
                                          const GripComparisonOptions& options) {
  return GripComparer(scene, body, move, options).compare();
}

}  // namespace steepwright::move
