#pragma once

/// A picture of what a hand holds at a site: the outline true to scale, and beside it the most force of each grip over
/// the pull's direction, both in the plane square to the lip (panel at the right, climber at the left).
///
/// Grips differ by line style and carry their names; friction ends the pulls at dashed rays; rings are forces in N.

#include "engine/io/grip_record.h"

#include <string>

namespace steepwright::io {

/// The picture as SVG text.
[[nodiscard]] std::string make_grip_svg(const GripReport& report);

/// Writes it atomically.
[[nodiscard]] Result<void> save_grip_svg(const std::string& path, const GripReport& report);

}  // namespace steepwright::io
