#pragma once

/// From the frames of a move to its verdict, cause and amount.

#include "engine/move/result.h"

namespace steepwright::move {

/// Fills verdict, cause, cause_text, deciding frame, phase and limb, shortfall and effort_peak from the frames. The
/// frame that decides: one without a posture (at its places before on the way there), else one without balance (that
/// which lacks most friction), else the one of the highest effort; of equals the first.
void decide_verdict(MoveResult& result);

}  // namespace steepwright::move
