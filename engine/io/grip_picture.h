#pragma once

/// A picture of what a hand holds at a site: the outline true to scale, and beside it the most force of each grip over
/// the pull's direction, both in the plane square to the lip (panel at the right, climber at the left).
///
/// Grips differ by line style and carry their names; friction ends the pulls at dashed rays; rings are forces in N.

#include "engine/io/drawing.h"
#include "engine/io/grip_record.h"

namespace steepwright::io {

/// The drawing keeps a copy of the report.
[[nodiscard]] Drawing make_grip_picture(const GripReport& report);

}  // namespace steepwright::io
