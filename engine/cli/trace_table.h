#pragma once

/// What `steepwright trace` prints of one move.

#include "engine/cli/terminal.h"
#include "engine/move/result.h"

#include <string>

namespace steepwright::cli {

/// Verdict, then one line a frame: instant, centre of mass, effort, what limits, and each contact's use and margin.
[[nodiscard]] std::string format_frames(const move::MoveResult& result, const Terminal& terminal);

/// The peaks of a move: which frame decides, each limb's largest load and use and its least slip margin, and what the
/// lower hand feels from the start to the end of the rise.
[[nodiscard]] std::string format_peaks(const move::MoveResult& result, const Terminal& terminal);

}  // namespace steepwright::cli
