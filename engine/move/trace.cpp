#include "engine/move/trace.h"

#include "engine/move/path.h"
#include "engine/move/peaks.h"
#include "engine/move/stretch.h"
#include "engine/move/verdict.h"

#include <algorithm>
#include <utility>

namespace steepwright::move {

namespace {

// Frame::t at which the phases end (assumed shares of a move's time; nothing in statics depends on them).
constexpr double kUnloaded_t = 0.2;
constexpr double kTouch_t = 0.7;

/// From this share of the stretch on the limb gives way: the body shifts first. The later, the nearer each frame is to
/// a stance that has been searched for.
constexpr double kEarlyShift = 0.3;
constexpr double kLateShift = 0.85;
/// Share of the last stretch in which the limb takes load; then the body settles.
constexpr double kEarlyLoad = 0.7;
constexpr double kLateLoad = 0.15;

/// Nearer than this to its holds a hand or foot may brush the wall: it is about to touch, m times Body::scale.
constexpr double kBrush = 0.12;

/// A stance that holds after all, or is this much easier than it was, is worth another trace of the frames about it.
constexpr double kWorthAgain = 0.03;
/// One that asks for more than this is not tried again.
constexpr double kHopeful = 1.5;

/// By how much more the way may ask than the stances at its ends, before others are tried.
constexpr double kDivided = 0.05;

/// Places at which it is tried whether the feet can still stay on.
constexpr int kCutTries = 8;

bool all_held(const std::vector<Frame>& frames) {
  return std::all_of(frames.begin(), frames.end(), [](const Frame& frame) { return frame.is_held; });
}

class MoveTracer {
 public:
  MoveTracer(const Move& move, const InstantSolver& solver) : move_(move), solver_(solver) {}

  MoveResult trace() {
    result_.name = move_.name;
    trace_frames();
    result_.lower_hand = find_lower_hand(solver_.scene(), move_);
    add_lower_hand(solver_.scene(), solver_.body(), move_, result_);
    add_peaks(result_);
    decide_verdict(result_);
    return std::move(result_);
  }

 private:
  /// A stance searched for, and its frame.
  struct Key {
    Instant instant;
    SolvedInstant solved;
    Frame frame;
  };

  void trace_frames() {
    const Key before = solve(Phase::kBefore, move_.before, 1.0, nullptr, ForearmSwings{}, 0.0);
    push(before.frame);
    if (!before.frame.has_posture) return;
    Key unloaded = before;  // the limb may hang free already
    if (move_.before.limbs[index_of(move_.moving)]) {
      unloaded = solve(Phase::kUnloaded, move_.before, 0.0, &before.frame.posture, before.solved.swings, kUnloaded_t);
    }
    const Stance after = find_settled(move_);
    Key touch = solve(Phase::kTouch, after, 0.0, &unloaded.frame.posture, unloaded.solved.swings, kTouch_t);
    Key settled;
    if (touch.frame.has_posture) {
      settled = solve(Phase::kSettled, after, 1.0, &touch.frame.posture, touch.solved.swings, 1.0);
      improve(settled.frame.posture, touch);
      improve(before.frame.posture, touch);
      if (unloaded.instant.phase == Phase::kUnloaded) improve(touch.frame.posture, unloaded);
    }
    const std::size_t n = result_.frames.size();
    trace_between(before, unloaded, touch, settled);
    if (!cut_.empty()) return;
    if (improve_keys(unloaded, touch)) {
      result_.frames.resize(n);
      trace_between(before, unloaded, touch, settled);
    }
    if (is_divided(unloaded, touch)) join(n, before, unloaded, touch, settled);
  }

  /// The frames between the two ask for much more than both: no way leads from the one posture to the other.
  [[nodiscard]] bool is_divided(const Key& unloaded, const Key& touch) const {
    if (!cut_.empty() || !unloaded.frame.has_posture || !touch.frame.has_posture) return false;
    const double hardest = find_hardest();
    return hardest > 1.0 && hardest > std::max(unloaded.frame.effort, touch.frame.effort) + kDivided;
  }

  [[nodiscard]] double find_hardest() const {
    double hardest = 0.0;
    for (const Frame& frame : result_.frames) hardest = std::max(hardest, frame.effort);
    return hardest;
  }

  /// The same with the one stance, then the other, next to its neighbour; the trace of least effort is kept.
  void join(std::size_t n_before, const Key& before, const Key& unloaded, const Key& touch, const Key& settled) {
    for (const bool moves_touch : {true, false}) {
      if (!moves_touch && unloaded.instant.phase != Phase::kUnloaded) continue;
      Key first = unloaded, second = touch, last = settled;
      Key& moved = moves_touch ? second : first;
      const Key& stays = moves_touch ? first : second;
      moved.solved =
          solver_.solve_key(moved.instant, &stays.frame.posture, stays.solved.swings, InstantSolver::Starts::kWarmOnly);
      if (!moved.solved.answer.has_posture) continue;
      finish(moved, &stays.frame.posture, moved.frame.t);
      if (moved.frame.effort > kHopeful) continue;
      if (moves_touch) improve(second.frame.posture, last);
      const std::vector<Frame> kept = result_.frames;
      const double hardest = find_hardest();
      result_.frames.resize(n_before);
      trace_between(before, first, second, last);
      if (!cut_.empty() || find_hardest() < hardest) return;
      result_.frames = kept;
    }
  }

  void trace_between(const Key& before, const Key& unloaded, Key& touch, Key& settled) {
    if (unloaded.instant.phase == Phase::kUnloaded) unload(before, unloaded);
    travel(unloaded, touch);
    if (touch.frame.has_posture) load(touch, settled);
  }

  /// Stances between frames that do not hold, from the postures of the frames beside them; false where none gets
  /// better.
  bool improve_keys(Key& unloaded, Key& touch) const {
    bool is_better = false;
    const std::vector<Frame>& frames = result_.frames;
    for (Key* key : {&unloaded, &touch}) {
      const double effort = key->frame.effort;
      if (!key->frame.has_posture || key->frame.is_held || effort > kHopeful) continue;
      for (std::size_t i = 0; i < frames.size(); ++i) {
        if (frames[i].phase != key->instant.phase) continue;
        for (const std::size_t beside : {i - 1, i + 1}) {
          if (beside < frames.size() && frames[beside].has_posture) improve(frames[beside].posture, *key);
        }
      }
      is_better = is_better || key->frame.is_held || key->frame.effort < effort - kWorthAgain;
    }
    return is_better;
  }

  /// From the stance of the trace that the caller knows.
  void improve_as_told(Key& key) const {
    if (solver_.options().like == nullptr || !key.frame.has_posture) return;
    for (const Frame& frame : solver_.options().like->frames) {
      if (frame.phase == key.instant.phase && frame.has_posture) improve(frame.posture, key);
    }
  }

  /// Another stance's posture may lead to one that has more to spare.
  void improve(const body::Posture& from, Key& key) const {
    if (key.frame.is_held && key.frame.effort <= kSpareEffort) return;
    SolvedInstant other = solver_.solve_key(key.instant, &from, key.solved.swings, InstantSolver::Starts::kWarmOnly);
    if (!other.answer.has_posture || (key.frame.is_held && !other.answer.is_held())) return;
    if (other.answer.effort.status != statics::Status::kSolved || other.answer.effort.rho >= key.frame.effort) return;
    key.solved = std::move(other);
    finish(key, &from, key.frame.t);
  }

  Key solve(Phase phase, const Stance& stance, double moving_share, const body::Posture* warm,
            const ForearmSwings& swings, double t) const {
    Key key;
    key.instant.phase = phase;
    key.instant.stance = stance;
    key.instant.load_share[index_of(move_.moving)] = moving_share;
    key.solved = solver_.solve_key(key.instant, warm, swings);
    finish(key, warm, t);
    improve_as_told(key);
    return key;
  }

  void finish(Key& key, const body::Posture* warm, double t) const {
    const bool is_after = key.instant.phase == Phase::kTouch || key.instant.phase == Phase::kSettled;
    key.frame =
        solver_.make_frame(key.instant, key.solved, is_after ? std::optional<Limb>(move_.moving) : std::nullopt, warm);
    key.frame.t = t;
    key.frame.hanging = cut_;
    if (key.instant.stance.limbs[index_of(move_.moving)]) key.frame.p_Wmoving = find_goal(key);
  }

  /// Contact point of the moving limb at its place.
  [[nodiscard]] std::optional<Vec3> find_goal(const Key& key) const {
    for (const posture::LimbGoal& goal : key.solved.problem.limbs) {
      if (goal.limb == move_.moving) return goal.p_WC;
    }
    return std::nullopt;
  }

  // ---- unload ----

  void unload(const Key& before, const Key& unloaded) {
    Stretch stretch;
    stretch.t_to = kUnloaded_t;
    std::vector<Frame> frames;
    for (const double shift : {kEarlyShift, kLateShift}) {
      stretch.at = [this, &before, shift](double u) {
        Instant instant = before.instant;
        instant.phase = Phase::kUnload;
        instant.load_share[index_of(move_.moving)] = std::clamp((1.0 - u) / (1.0 - shift), 0.0, 1.0);
        return instant;
      };
      frames = trace_stretch(solver_, stretch, before.frame, unloaded.frame);
      if (all_held(frames) || !before.frame.is_held || !unloaded.frame.is_held) break;
    }
    push(std::move(frames));
    push(unloaded.frame);
  }

  // ---- travel and touch ----

  void travel(const Key& unloaded, Key& touch) {
    const bool may_cut = touch.frame.has_posture || solver_.options().may_cut_to_reach;
    if (may_cut && !touch.frame.is_held && unloaded.frame.is_held && travel_and_cut(unloaded, touch)) return;
    // Where the target is not reached the way ends where the limb comes nearest, clear of the wall.
    Frame end = touch.frame;
    if (touch.solved.reached) end.posture = *touch.solved.reached;
    set_path(unloaded.frame, end);
    push(trace_stretch(solver_, make_travel(0.0, 1.0, kUnloaded_t, kTouch_t), unloaded.frame, end));
    push(touch.frame);
  }

  void set_path(const Frame& unloaded, const Frame& touch) {
    const Limb limb = move_.moving;
    const std::optional<LimbPlace>& from = move_.before.limbs[index_of(limb)];
    const body::Body& body = solver_.body();
    p_BC_to_ = body.station(limb, move_.target.grip.value_or(Grip::kOpenHand)).p_BC;
    p_BC_from_ = from ? body.station(limb, from->grip.value_or(Grip::kOpenHand)).p_BC : p_BC_to_;
    PathEnds ends;
    ends.p_Wfrom = solver_.find_contact_point(unloaded.posture, limb, p_BC_from_);
    ends.p_Wto = solver_.find_contact_point(touch.posture, limb, p_BC_to_);
    ends.normal_Wfrom = from ? find_outward(*from) : wall::find_nearest(solver_.scene().wall, ends.p_Wfrom).gradient;
    ends.normal_Wto = find_outward(move_.target);
    ends.body_scale = body.scale;
    ends.hold_from = from ? from->hold : -1;
    ends.hold_to = move_.target.hold;
    ends_ = ends;
    path_ = make_limb_path(solver_.scene(), ends);
  }

  [[nodiscard]] Vec3 find_outward(const LimbPlace& place) const {
    return find_strip(solver_.scene(), place).X_WP.R.col(2);
  }

  [[nodiscard]] Instant make_travel_instant(double u) const {
    Instant instant;
    instant.phase = Phase::kTravel;
    instant.stance = move_.before;
    instant.stance.limbs[index_of(move_.moving)].reset();
    for (const Limb foot : cut_) instant.stance.limbs[index_of(foot)].reset();
    InAir in_air;
    in_air.limb = move_.moving;
    in_air.p_BC = (1.0 - u) * p_BC_from_ + u * p_BC_to_;
    in_air.p_WC = path_.at(u);
    const double from_holds_m = std::min((in_air.p_WC - ends_.p_Wfrom).norm(), (in_air.p_WC - ends_.p_Wto).norm());
    in_air.keeps_clear = from_holds_m > kBrush * solver_.body().scale;
    instant.in_air = in_air;
    return instant;
  }

  [[nodiscard]] Stretch make_travel(double u_from, double u_to, double t_from, double t_to) const {
    Stretch stretch;
    stretch.at = [this](double u) { return make_travel_instant(u); };
    stretch.u_from = u_from;
    stretch.u_to = u_to;
    stretch.t_from = t_from;
    stretch.t_to = t_to;
    stretch.halvings = 4;
    stretch.asked = move_.moving;
    return stretch;
  }

  // ---- feet that cut loose ----

  /// The way with feet that cut loose, when that holds all along; `touch` is then the one without them.
  bool travel_and_cut(const Key& unloaded, Key& touch) {
    Key cut_touch;
    const std::vector<Limb> cut = find_cut(unloaded, touch, cut_touch);
    if (cut.empty()) return false;
    set_path(unloaded.frame, cut_touch.frame);
    std::vector<Frame> frames = make_cut_frames(unloaded, cut_touch, cut);
    if (frames.empty() || !all_held(frames)) {
      cut_.clear();
      return false;
    }
    push(std::move(frames));
    push(cut_touch.frame);
    touch = std::move(cut_touch);
    return true;
  }

  /// The fewest feet without which the target can be touched, with the touch of least effort; none when that does not
  /// help.
  std::vector<Limb> find_cut(const Key& unloaded, const Key& touch, Key& cut_touch) {
    std::vector<Limb> feet;
    for (const Limb foot : {Limb::kLeftFoot, Limb::kRightFoot}) {
      if (foot != move_.moving && move_.before.limbs[index_of(foot)]) feet.push_back(foot);
    }
    std::vector<std::vector<Limb>> choices;
    choices.reserve(feet.size() + 1);
    for (const Limb foot : feet) choices.push_back({foot});
    if (feet.size() == 2) choices.push_back(feet);
    std::vector<Limb> best;
    for (const std::vector<Limb>& choice : choices) {
      if (!best.empty() && choice.size() > best.size()) break;
      Key key;
      key.instant = touch.instant;
      for (const Limb foot : choice) key.instant.stance.limbs[index_of(foot)].reset();
      key.solved = solver_.solve_key(key.instant, &unloaded.frame.posture, unloaded.solved.swings,
                                     InstantSolver::Starts::kWarmOnly);
      if (!key.solved.answer.is_held()) continue;
      if (!best.empty() && key.solved.answer.effort.rho >= cut_touch.solved.answer.effort.rho) continue;
      best = choice;
      cut_touch = std::move(key);
    }
    if (best.empty()) return best;
    finish(cut_touch, &unloaded.frame.posture, kTouch_t);
    cut_touch.frame.hanging = best;
    return best;
  }

  /// A place of the way where the feet can still stay on, and where they can come off: the same place with no load on
  /// them, when the other limbs carry the body there.
  struct Leaving {
    double u = 0.0;
    Frame on, eased;
  };

  [[nodiscard]] Instant make_easing_instant(double u, double share, const std::vector<Limb>& cut) const {
    Instant instant = make_travel_instant(u);
    for (const Limb foot : cut) instant.load_share[index_of(foot)] = share;
    return instant;
  }

  /// The last such place; none where only a swing would take them off.
  [[nodiscard]] std::optional<Leaving> find_leaving(const Frame& unloaded, const std::vector<Limb>& cut) const {
    std::optional<Leaving> last;
    Frame on = unloaded;
    for (int i = 0; i < kCutTries; ++i) {
      const double u = static_cast<double>(i) / kCutTries;
      if (i > 0) on = solve_travel(u, on.posture);
      if (!on.is_held) break;
      const Instant easing = make_easing_instant(u, 0.0, cut);
      SolvedInstant solved = solver_.solve_near(easing, on.posture, kSpareEffort);
      if (solved.answer.is_held()) {
        last = Leaving{u, on, solver_.make_frame(easing, solved, move_.moving, &on.posture)};
      }
    }
    return last;
  }

  /// The feet stay on as long as that holds, give up their load, come off, and hang free for the rest of the way. Empty
  /// where they cannot come off without a swing.
  std::vector<Frame> make_cut_frames(const Key& unloaded, const Key& touch, const std::vector<Limb>& cut) {
    constexpr double kCutTime = 0.1;
    std::vector<Frame> frames;
    const std::optional<Leaving> found = find_leaving(unloaded.frame, cut);
    if (!found) return frames;
    const Leaving& leaving = *found;
    const auto append = [&frames](std::vector<Frame> more) {
      for (Frame& frame : more) frames.push_back(std::move(frame));
    };
    double t = kUnloaded_t + leaving.u * (kTouch_t - kUnloaded_t - kCutTime);
    Frame on = leaving.on;
    on.t = t;
    if (leaving.u > 0.0) {
      append(trace_stretch(solver_, make_travel(0.0, leaving.u, kUnloaded_t, t), unloaded.frame, on));
      frames.push_back(on);
    }
    Stretch easing = make_travel(0.0, 1.0, t, t + 0.5 * kCutTime);
    easing.at = [this, &leaving, &cut](double u) { return make_easing_instant(leaving.u, 1.0 - u, cut); };
    easing.halvings = 2;
    append(trace_stretch(solver_, easing, on, leaving.eased));
    t += 0.5 * kCutTime;
    on = leaving.eased;
    on.t = t;
    frames.push_back(on);
    cut_ = cut;
    const double u_off = std::max(leaving.u, 1.0 / 64.0);
    Frame off = solve_travel(u_off, on.posture);
    off.t = kUnloaded_t + leaving.u * (kTouch_t - kUnloaded_t - kCutTime) + kCutTime;
    Stretch letting_go = make_travel(0.0, 1.0, t, off.t);
    letting_go.at = [this, u_off](double) { return make_travel_instant(u_off); };
    letting_go.halvings = 1;
    const std::size_t n_on = frames.size();
    append(trace_stretch(solver_, letting_go, on, off));
    frames.push_back(off);
    append(trace_stretch(solver_, make_travel(u_off, 1.0, off.t, kTouch_t), off, touch.frame));
    frames[n_on].cut_loose = cut;
    for (std::size_t i = n_on; i < frames.size(); ++i) frames[i].hanging = cut;
    return frames;
  }

  Frame solve_travel(double u, const body::Posture& start) const {
    const Instant instant = make_travel_instant(u);
    SolvedInstant solved = solver_.solve_near(instant, start, 1.0);
    return solver_.make_frame(instant, solved, move_.moving, &start);
  }

  // ---- load and settle ----

  void load(const Key& touch, Key& settled) {
    if (!cut_.empty()) {
      settled = solve(Phase::kSettled, touch.instant.stance, 1.0, &touch.frame.posture, touch.solved.swings, 1.0);
    }
    Key back;
    const bool comes_back = !cut_.empty() && put_feet_back(settled, back);
    Stretch stretch;
    stretch.t_from = kTouch_t;
    stretch.t_to = comes_back ? 0.9 : 1.0;
    std::vector<Frame> frames;
    for (const double end : {kEarlyLoad, kLateLoad}) {
      stretch.at = [this, &touch, end](double u) {
        Instant instant = touch.instant;
        instant.phase = u < end ? Phase::kLoad : Phase::kSettle;
        instant.load_share[index_of(move_.moving)] = std::min(1.0, u / end);
        return instant;
      };
      frames = trace_stretch(solver_, stretch, touch.frame, settled.frame);
      if (all_held(frames) || !touch.frame.is_held || !settled.frame.is_held) break;
    }
    for (Frame& frame : frames) frame.hanging = cut_;
    push(std::move(frames));
    if (!comes_back) return push(settled.frame);
    settled.frame.t = stretch.t_to;
    settled.frame.phase = Phase::kSettle;
    push(settled.frame);
    Stretch putting_back;
    putting_back.at = [&settled](double) {
      Instant instant = settled.instant;
      instant.phase = Phase::kSettle;
      return instant;
    };
    putting_back.t_from = settled.frame.t;
    putting_back.halvings = 2;
    frames = trace_stretch(solver_, putting_back, settled.frame, back.frame);
    for (Frame& frame : frames) frame.hanging = cut_;
    push(std::move(frames));
    push(back.frame);
  }

  /// The settled stance with the cut feet on their holds again; false when that does not hold.
  bool put_feet_back(const Key& settled, Key& back) const {
    Stance stance = settled.instant.stance;
    for (const Limb foot : cut_) stance.limbs[index_of(foot)] = move_.before.limbs[index_of(foot)];
    back = solve(Phase::kSettled, stance, 1.0, &settled.frame.posture, settled.solved.swings, 1.0);
    back.frame.hanging.clear();
    return back.frame.is_held;
  }

  void push(Frame frame) { result_.frames.push_back(std::move(frame)); }
  void push(std::vector<Frame> frames) {
    for (Frame& frame : frames) push(std::move(frame));
  }

  const Move& move_;
  const InstantSolver& solver_;
  MoveResult result_;
  std::vector<Limb> cut_;  ///< feet that hang free now
  PathEnds ends_;
  LimbPath path_;
  Vec3 p_BC_from_ = Vec3::Zero(), p_BC_to_ = Vec3::Zero();
};

}  // namespace

MoveResult trace_move(const Move& move, const InstantSolver& solver) { return MoveTracer(move, solver).trace(); }

}  // namespace steepwright::move
