#pragma once

/// From the frames of a move to its verdict, cause and amount.

#include "engine/move/result.h"

namespace steepwright::move {

/// Fills verdict, cause, cause_text, deciding phase and limb, shortfall and effort_peak from the frames. The frame that
/// decides: one without a posture before one without balance before the one of the highest effort.
void decide_verdict(MoveResult& result);

}  // namespace steepwright::move
