#pragma once

/// What one finger can hold along every pull, with the best posture that the grip allows for each.
///
/// For one posture the forces that the finger can hold form a convex polygon; its corners are found by one program that
/// is re-solved from direction to direction, and from it the most force along each pull. The best over all postures of
/// the grip comes from a coarse grid over (pitch, withdrawal, middle joint, end joint) and a pattern search from the
/// best of it for some of the pulls.

#include "engine/grip/finger_program.h"
#include "engine/grip/hand.h"
#include "engine/grip/posture_space.h"

#include <cmath>

namespace steepwright::grip {

/// Pulls are given by the angle of the force on the hand from the floor's normal, positive into the wall (the hand then
/// pulls outward): f = s (sin, cos)(angle).
inline constexpr std::size_t kPullCount = 11;
using PullAngles = std::array<double, kPullCount>;  ///< rad, ascending
[[nodiscard]] inline Vec2 pull_direction(double angle) { return {std::sin(angle), std::cos(angle)}; }

/// Pulls over the whole friction wedge of half-angle atan(mu) about a normal that leans outward by `lean`; closer
/// together where the hand pulls outward.
[[nodiscard]] PullAngles make_pulls(double mu, double lean);

/// Forearm from the elbow to the wrist: `swing` is 0 when the elbow hangs below the hold (against the floor's normal),
/// 90 degrees when it stands straight out from it (along the floor), more when it is above. rad.
struct SearchTask {
  const Finger* finger = nullptr;
  const hold::Outline* outline = nullptr;
  const GripForm* form = nullptr;
  FingerStrengthLimits limits;
  double mu = 0.0;
  double forearm_swing = 0.0;
  PullAngles pulls{};
};

/// Most force along each pull, and the posture that gives it.
struct FingerFan {
  std::array<double, kPullCount> force_N{};
  std::array<FingerPosture, kPullCount> posture{};
};

class FingerSearch {
 public:
  [[nodiscard]] FingerFan calc_fan(const SearchTask& task);

  /// Most force along one pull, with posture and inner loads: one program a posture, along the pull itself.
  struct Along {
    double force_N = 0.0;
    FingerPosture posture;
    double mcp = 0.0;  ///< rad
    FingerLoad load;
  };
  [[nodiscard]] Along calc_along(const SearchTask& task, double angle);

 private:
  struct Starts;
  /// Best of the starting postures for each of some pulls.
  template <std::size_t N>
  [[nodiscard]] std::array<Starts, N> find_starts(const SearchTask& task, const PostureSpace& space,
                                                  const std::array<double, N>& angles);
  /// Pattern search for one pull.
  [[nodiscard]] Along refine(const SearchTask& task, const PostureSpace& space, double angle,
                             const FingerPosture& start);

  template <int Rows>
  bool build_program(const SearchTask& task, const FingerPosture& posture, FingerProgram<Rows>& program);

  static constexpr std::size_t kCornerCount = 11;
  FingerSeat seat_;
  FingerProgram<3> support_;
  FingerProgram<4> along_;
  std::array<Vec2, kCornerCount> corners_;
};

/// Flexion of the knuckle for a posture: what is left between forearm and proximal phalanx once the wrist has its
/// favoured 20 degrees of extension, within the ranges of both; `fit` falls from 1 to 0 over 40 degrees beyond them.
struct Knuckle {
  double mcp = 0.0;
  double wrist_extension = 0.0;
  double fit = 1.0;
};
[[nodiscard]] Knuckle find_knuckle(const GripForm& form, const FingerPosture& posture, double forearm_swing);

}  // namespace steepwright::grip
