#pragma once

/// What every contact feels over a move: load, share of its capacity and slip margin against the move's course, and
/// those of the lower hand against the height of the centre of mass.

#include "engine/io/canvas.h"
#include "engine/move/result.h"

namespace steepwright::io {

/// Line of a limb: told apart by width and dash, as colour means the share of a limit.
[[nodiscard]] Paint limb_line(Limb limb);

inline constexpr double kStripPlotsHeight_px = 560.0;

/// Draws the plots into a rectangle that is kStripPlotsHeight_px high; `deciding` (index of a frame, -1: none) is
/// marked.
void draw_strip_plots(Canvas& canvas, const move::MoveResult& result, int deciding, const Vec2& corner,
                      double width_px);

}  // namespace steepwright::io
