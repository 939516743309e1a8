#pragma once

/// What `steepwright trace` prints of the choice of feet and of what would make a move hold.

#include "engine/cli/terminal.h"
#include "engine/move/cut_loose.h"
#include "engine/move/feet.h"
#include "engine/move/remedy.h"

#include <string>
#include <vector>

namespace steepwright::cli {

/// The best placements of the feet, with what decides in each.
[[nodiscard]] std::string format_feet(const std::vector<move::FootChoice>& choices, const Terminal& terminal);

/// One line a remedy: how much of it makes the move hold and at what effort, or that it does not help.
[[nodiscard]] std::string format_remedies(const std::vector<move::RemedyResult>& remedies, const Terminal& terminal);

}  // namespace steepwright::cli
