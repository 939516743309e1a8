#pragma once

/// What stands out over the frames of a move: peaks by limb, and what the lower hand feels.

#include "engine/move/result.h"
#include "engine/move/scene.h"

namespace steepwright::move {

/// The hand below the target of a moving hand, when it is on a hold.
[[nodiscard]] std::optional<Limb> find_lower_hand(const Scene& scene, const Move& move);

/// Fills Frame::lower_hand of every frame for result.lower_hand, and result.peaks.
void add_lower_hand(const Scene& scene, const body::Body& body, const Move& move, MoveResult& result);
void add_peaks(MoveResult& result);

}  // namespace steepwright::move
