#pragma once

/// Which frames of a move a strip of small figures shows.

#include "engine/body/body.h"
#include "engine/figure/skeleton.h"
#include "engine/move/result.h"

#include <optional>
#include <vector>

namespace steepwright::figure {

/// Changes of contact forces that add up to the body's weight count as much as all joints moving this far, m (own
/// choice).
inline constexpr double kChangePerWeight_m = 0.15;

/// At most `most` frames with a posture, met or nearest, evenly in change (joints' movement and change of forces): the
/// first and the last among them, and `wanted` where it has one. Ascending indices into result.frames.
[[nodiscard]] std::vector<int> choose_strip_frames(const body::Body& body, const Skeleton& skeleton,
                                                   const move::MoveResult& result, int most,
                                                   std::optional<int> wanted = std::nullopt);

}  // namespace steepwright::figure
