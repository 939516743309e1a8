#pragma once

/// The same move with every grip that a hand's hold allows: what a bent or an open hand changes.

#include "engine/move/result.h"
#include "engine/move/scene.h"
#include "engine/move/solve.h"

#include <array>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace steepwright::move {

/// The move with one grip of the compared hand.
struct ComparedGrip {
  Grip grip = Grip::kOpenHand;
  bool is_own = false;  ///< the grip that the move itself has
  Verdict verdict = Verdict::kNotStatic;
  Cause cause = Cause::kNone;
  std::string cause_text;
  double effort_peak = 0.0;
  /// Of the compared hand over the frames in which it carries its share; nothing where there is none.
  std::optional<double> slip_margin;  ///< least, rad: of the surface, whatever the grip
  std::optional<SlipOff> slip_off;    ///< least: of surface and fingers
  std::optional<double> use_peak;
  double load_peak_N = 0.0;
  /// Margin and use under the pulls and forearms of the move with its own grip: what this grip alone changes, where a
  /// body would stand and pull otherwise with it.
  std::optional<SlipOff> slip_off_same_pulls;
  std::optional<double> use_same_pulls;
  /// Index to little finger at the frame of most load, N: the load in the shares of what each could hold along that
  /// pull. Nothing for fingers off the hold, and for a pinch.
  std::array<std::optional<double>, 4> fingers_N;
  /// Against the move's own grip, along the way to the target: what the contacts allow, strength not asked.
  std::optional<double> reach_gain_m;
};

struct GripComparison {
  Limb limb = Limb::kLeftHand;
  bool is_target = false;  ///< the moving hand at its target; else the lower hand
  std::string hold, site;
  std::vector<ComparedGrip> grips;  ///< that the site allows this hand, in the order of kGrips
  struct Shut {
    Grip grip = Grip::kOpenHand;
    std::string reason;
  };
  std::vector<Shut> shut;
};

struct GripComparisonOptions {
  SolveOptions solve;
  int threads = 1;                    ///< 0: as many as the machine has; the answer does not depend on it
  const MoveResult* known = nullptr;  ///< the move itself, solved with these options; nullptr: it is traced here
  /// Called with (done, total); false stops early, without a result.
  std::function<bool(int, int)> on_progress;
};

/// The comparisons of the lower hand and of the hand that moves; empty for a move of a foot, or when stopped.
[[nodiscard]] std::vector<GripComparison> compare_grips(const Scene& scene, const body::Body& body, const Move& move,
                                                        const GripComparisonOptions& options);

}  // namespace steepwright::move
