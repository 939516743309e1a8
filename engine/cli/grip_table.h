#pragma once

/// The tables of `steepwright grip`.

#include "engine/cli/terminal.h"
#include "engine/io/grip_record.h"

#include <string>

namespace steepwright::cli {

/// Hold, site, friction, climber, forearm.
[[nodiscard]] std::string format_grip_heading(const io::GripReport& report, double asked_forearm,
                                              const Terminal& terminal);

/// What every grip holds along the survey's pulls, and which grip is forced.
[[nodiscard]] std::string format_capacities(const io::GripReport& report, const Terminal& terminal);

/// Single fingers of a grip at a pull, rad, that grip::add_fingers was asked for.
[[nodiscard]] std::string format_fingers(const grip::SurveyedGrip& grip, double pull, const Terminal& terminal);

/// Grips that are not possible, with the reason; "" when there are none.
[[nodiscard]] std::string format_shut(const io::GripReport& report, const Terminal& terminal);

}  // namespace steepwright::cli
