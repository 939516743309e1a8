#pragma once

/// What `steepwright trace` prints of one move.

#include "engine/cli/terminal.h"
#include "engine/move/result.h"

#include <string>

namespace steepwright::cli {

/// One line a frame: instant, height of the centre of mass, effort, each contact's use and margin, and what limits;
/// the frame that decides is marked.
[[nodiscard]] std::string format_frames(const move::MoveResult& result, const Terminal& terminal);

/// The peaks of a move: each limb's largest load and use and its least slip-off margin, with their frames, and what the
/// lower hand feels at its first and last load and where its margin is least.
[[nodiscard]] std::string format_peaks(const move::MoveResult& result, const Terminal& terminal);

}  // namespace steepwright::cli
