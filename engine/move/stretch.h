#pragma once

/// Frames of a stretch of a move between two solved postures, by bisection: the middle of two frames starts from the
/// middle of their postures, so that a frame depends on where it is and not on how many there are.

#include "engine/move/instant.h"

#include <functional>
#include <vector>

namespace steepwright::move {

/// No joint turns farther than this from one frame to the next, rad.
inline constexpr double kMaxTurn = 15.0 * 3.14159265358979323846 / 180.0;

/// Effort above which a frame or a stance is improved where it can be.
inline constexpr double kSpareEffort = 0.9;

/// What happens between two postures.
struct Stretch {
  std::function<Instant(double)> at;  ///< instant at u, 0 < u < 1
  double u_from = 0.0, u_to = 1.0;
  double t_from = 0.0, t_to = 1.0;  ///< Frame::t at its ends
  int halvings = 3;                 ///< at least; more where something changes fast. Later frames are improved only
                                    ///< where they do not hold between frames that do
  std::optional<Limb> asked;        ///< whose reach is in question where no posture is found
};

/// The frames strictly between the postures `from` and `to`, in order.
[[nodiscard]] std::vector<Frame> trace_stretch(const InstantSolver& solver, const Stretch& stretch, const Frame& from,
                                               const Frame& to);

/// The posture a share s of the way from a to b: angles and the root's position linearly, its direction by the
/// shortest turn.
[[nodiscard]] body::Posture interpolate(const body::Posture& a, const body::Posture& b, double s);

/// Largest change of a hinge or of the root's direction, rad.
[[nodiscard]] double find_largest_turn(const body::Posture& a, const body::Posture& b);

}  // namespace steepwright::move
