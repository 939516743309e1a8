#pragma once

/// How sure a move is: the same move in many worlds that differ a little from the one that was computed (friction,
/// strength, build of the body, how exactly holds are placed and hands lie on them).
///
/// The postures of the move are kept; in every world only the question "do any forces hold the body here?" is answered
/// anew: by forces that pass every limit and balance to 2e-4 of the weight (held), by a proof that there are none
/// (fails), or, where neither is at hand, by looking for the nearest forces within all limits. What a hand's capacity
/// owes to friction (statics of the fingers) is not recomputed.

#include "engine/body/body.h"
#include "engine/core/limb.h"
#include "engine/move/result.h"

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace steepwright::move {

/// Standard deviations. All are assumed: no survey of them is known; whoever has measured sets their own.
struct RiskSpreads {
  double friction = 0.10;             ///< of mu, as a share: skin and rubber each (day, chalk, wear)
  double fingers = 0.08;              ///< of finger strength, as a share (day, fatigue)
  double joints = 0.08;               ///< of muscle torques, as a share
  double build = 0.05;                ///< of the masses of trunk, arms and legs, as a share each
  double place_m = 0.003;             ///< of every contact along and across its site (bolting, where the hand lies)
  double tilt = 0.03490658503988659;  ///< of every contact's normal about both of its axes, rad (2 deg)
};

struct RiskOptions {
  int draws = 1000;
  std::uint64_t seed = 1;
  RiskSpreads spreads;
  int threads = 1;                   ///< 0: as many as the machine has; the answer does not depend on it
  std::function<bool()> is_stopped;  ///< asked now and then; true ends early, without a result
};

/// 5th, 50th and 95th percentile over the draws; infinite where more draws than that have no balance.
struct RiskBand {
  double low = 0.0, middle = 0.0, high = 0.0;
};

struct FrameRisk {
  double fail_share = 0.0;
  /// Of the effort: exact where the program was solved, else to first order in the disturbance about the frame's own
  /// (tests/bench/risk_bench.cpp prints the largest error).
  RiskBand effort;
  /// Of each loaded contact's slip margin with the frame's distribution of load, rad; nothing where it carries nothing.
  std::array<std::optional<RiskBand>, 4> slip_margin;
  /// The same of each loaded hand's slip-off margin: fingers weaker or stronger in every draw, too.
  std::array<std::optional<RiskBand>, 2> slip_off_margin;
};

/// Why the first frame to fail does.
struct FirstFailure {
  std::string limit;  ///< as Frame::limit: "left hand grip", "right hand slips", "right elbow flexion"
  std::optional<Limb> limb;
  double share = 0.0;  ///< of all draws
};

struct MoveRisk {
  int draws = 0;
  std::uint64_t seed = 0;
  RiskSpreads spreads;
  double fail_share = 0.0;             ///< draws in which some frame fails: the move's slip risk
  std::vector<FrameRisk> frames;       ///< as MoveResult::frames
  std::vector<FirstFailure> failures;  ///< most frequent first
  long exact_solves = 0;               ///< how often the effort itself was solved for
};

/// Risk of a solved move; nothing when it was stopped. A frame whose contacts are not met fails in every draw.
[[nodiscard]] std::optional<MoveRisk> calc_risk(const body::Body& body, const MoveResult& result,
                                                const RiskOptions& options);

}  // namespace steepwright::move
