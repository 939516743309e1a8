#pragma once

/// The verdict table.

#include "engine/cli/terminal.h"
#include "engine/move/result.h"

#include <string>
#include <vector>

namespace steepwright::cli {

/// One line a move (long names and causes go on below), no wider than the terminal.
[[nodiscard]] std::string format_verdicts(const std::vector<move::MoveResult>& results, const Terminal& terminal);

/// Largest factor on the given friction that any frame with met contacts needs; infinite when none helps.
[[nodiscard]] double find_needed_friction(const move::MoveResult& result);

}  // namespace steepwright::cli
