#include "engine/move/trace.h"

#include "engine/move/peaks.h"
#include "engine/move/stretch.h"
#include "engine/move/travel.h"
#include "engine/move/verdict.h"

#include <algorithm>
#include <utility>

namespace steepwright::move {

namespace {

/// From this share of the stretch on the limb gives way: the body shifts first. The later, the nearer each frame is to
/// a stance that has been searched for.
constexpr double kEarlyShift = 0.3;
constexpr double kLateShift = 0.85;
/// Share of the last stretch in which the limb takes load; then the body settles.
constexpr double kEarlyLoad = 0.7;
constexpr double kLateLoad = 0.15;

/// A stance that holds after all, or is this much easier than it was, is worth another trace of the frames about it.
constexpr double kWorthAgain = 0.03;

/// By how much more the way may ask than the stances at its ends, before others are tried.
constexpr double kDivided = 0.05;

bool all_held(const std::vector<Frame>& frames) {
  return std::all_of(frames.begin(), frames.end(), [](const Frame& frame) { return frame.is_held; });
}

class MoveTracer {
 public:
  MoveTracer(const Move& move, const InstantSolver& solver)
      : move_(move), solver_(solver), keys_(move, solver), travel_(move, solver, keys_) {}

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
  void trace_frames() {
    const Key before = keys_.solve(Phase::kBefore, move_.before, 1.0, nullptr, ForearmSwings{}, 0.0);
    push(before.frame);
    if (!before.frame.has_posture) return;
    Key unloaded = before;  // the limb may hang free already
    if (move_.before.limbs[index_of(move_.moving)]) {
      unloaded =
          keys_.solve(Phase::kUnloaded, move_.before, 0.0, &before.frame.posture, before.solved.swings, kUnloaded_t);
    }
    if (keys_.is_lost(unloaded)) return push(unloaded.frame);
    const Stance after = find_settled(move_);
    Key touch = keys_.solve(Phase::kTouch, after, 0.0, &unloaded.frame.posture, unloaded.solved.swings, kTouch_t);
    Key settled;
    if (touch.frame.has_posture) {
      settled = keys_.solve(Phase::kSettled, after, 1.0, &touch.frame.posture, touch.solved.swings, 1.0);
      keys_.improve(settled.frame.posture, touch);
      keys_.improve(before.frame.posture, touch);
      if (unloaded.instant.phase == Phase::kUnloaded) keys_.improve(touch.frame.posture, unloaded);
    }
    if (keys_.is_lost(touch) && !(may_cut(unloaded, touch) && find_cut(unloaded, touch))) return push(touch.frame);
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
      if (!keys_.solve_from(stays, moved)) continue;
      if (moved.frame.effort > kHopelessEffort) continue;
      if (moves_touch) keys_.improve(second.frame.posture, last);
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
      if (!key->frame.has_posture || key->frame.is_held || effort > kHopelessEffort) continue;
      for (std::size_t i = 0; i < frames.size(); ++i) {
        if (frames[i].phase != key->instant.phase) continue;
        for (const std::size_t beside : {i - 1, i + 1}) {
          if (beside < frames.size() && frames[beside].has_posture) keys_.improve(frames[beside].posture, *key);
        }
      }
      is_better = is_better || key->frame.is_held || key->frame.effort < effort - kWorthAgain;
    }
    return is_better;
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
    if (may_cut(unloaded, touch) && travel_and_cut(unloaded, touch)) return;
    // Where the target is not reached the way ends where the limb comes nearest, clear of the wall.
    Frame end = touch.frame;
    if (touch.solved.reached) end.posture = *touch.solved.reached;
    push(travel_.trace(unloaded.frame, end));
    push(touch.frame);
  }

  [[nodiscard]] bool may_cut(const Key& unloaded, const Key& touch) const {
    const bool is_asked = touch.frame.has_posture || solver_.options().may_cut_to_reach;
    return is_asked && !touch.frame.is_held && unloaded.frame.is_held;
  }

  /// The way with feet that cut loose, when that holds all along; `touch` is then the one without them.
  bool travel_and_cut(const Key& unloaded, Key& touch) {
    if (!find_cut(unloaded, touch)) return false;
    std::vector<Frame> frames = travel_.trace_cut(unloaded, *found_cut_);
    if (frames.empty()) {
      found_cut_.reset();
      return false;
    }
    cut_ = found_cut_->feet;
    push(std::move(frames));
    push(found_cut_->touch.frame);
    touch = std::move(found_cut_->touch);
    return true;
  }

  /// Looked for once from every unloaded stance: its posture is all that the touch without feet depends on.
  bool find_cut(const Key& unloaded, const Key& touch) {
    if (!cut_sought_from_ || !is_same(*cut_sought_from_, unloaded.frame.posture)) {
      cut_sought_from_ = unloaded.frame.posture;
      found_cut_ = travel_.find_cut_touch(unloaded, touch);
    }
    return found_cut_.has_value();
  }

  static bool is_same(const body::Posture& a, const body::Posture& b) {
    return a.angles == b.angles && a.p_WB == b.p_WB && a.R_WB == b.R_WB;
  }

  // ---- load and settle ----

  void load(const Key& touch, Key& settled) {
    if (!cut_.empty()) {
      settled = keys_.solve(Phase::kSettled, touch.instant.stance, 1.0, &touch.frame.posture, touch.solved.swings, 1.0);
      settled.frame.hanging = cut_;
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
    back = keys_.solve(Phase::kSettled, stance, 1.0, &settled.frame.posture, settled.solved.swings, 1.0);
    return back.frame.is_held;
  }

  void push(Frame frame) { result_.frames.push_back(std::move(frame)); }
  void push(std::vector<Frame> frames) {
    for (Frame& frame : frames) push(std::move(frame));
  }

  const Move& move_;
  const InstantSolver& solver_;
  KeySolver keys_;
  Travel travel_;
  MoveResult result_;
  std::vector<Limb> cut_;  ///< feet that hang free now
  std::optional<body::Posture> cut_sought_from_;
  std::optional<Travel::CutTouch> found_cut_;  ///< from there; none where it has been tried in vain
};

}  // namespace

MoveResult trace_move(const Move& move, const InstantSolver& solver) { return MoveTracer(move, solver).trace(); }

}  // namespace steepwright::move
