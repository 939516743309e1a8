#pragma once

/// Which frames of a move a strip of small figures shows.

#include "engine/body/body.h"
#include "engine/figure/skeleton.h"
#include "engine/move/result.h"

#include <optional>
#include <vector>

namespace steepwright::figure {

/// A change of all contact forces by the body's weight counts as much as all joints moving this far, m (own choice: a
/// tenth of a stature is what a settling body moves).
inline constexpr double kChangePerWeight_m = 0.15;

/// At most `most` frames that have a posture, evenly in change (joints' movement and change of forces): the first and
/// the last, and `wanted` where it is one of them. Ascending indices into result.frames.
[[nodiscard]] std::vector<int> choose_strip_frames(const body::Body& body, const Skeleton& skeleton,
                                                   const move::MoveResult& result, int most,
                                                   std::optional<int> wanted = std::nullopt);

}  // namespace steepwright::figure
