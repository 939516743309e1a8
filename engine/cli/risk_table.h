#pragma once

/// What `steepwright trace` prints of risk and of grips.

#include "engine/cli/terminal.h"
#include "engine/move/grip_comparison.h"
#include "engine/move/risk.h"

#include <string>

namespace steepwright::cli {

/// Share of draws that fail, what fails first, the frames at most risk with their bands, and the assumed spreads.
[[nodiscard]] std::string format_risk(const move::MoveResult& result, const move::MoveRisk& risk,
                                      const Terminal& terminal);

/// One line a grip: verdict, effort, margin, reach, load of each finger; then the grips that the site shuts out.
[[nodiscard]] std::string format_comparison(const move::GripComparison& comparison, const Terminal& terminal);

}  // namespace steepwright::cli
