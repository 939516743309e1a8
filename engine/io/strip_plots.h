#pragma once

/// What every contact feels over a move: load, share of its capacity and slip-off margin against the move's course, and
/// those of the lower hand, with the direction of its pull, against the height of the centre of mass.

#include "engine/io/canvas.h"
#include "engine/move/result.h"
#include "engine/move/risk.h"

namespace steepwright::io {

/// Line of a limb: told apart by width and dash, as colour means the share of a limit.
[[nodiscard]] Paint limb_line(Limb limb);

/// With the share of draws that fail, where there is a risk, and the band of the lower hand's margin.
[[nodiscard]] double find_strip_plots_height(const move::MoveResult& result, const move::MoveRisk* risk);

/// Draws the plots into a rectangle of that height. `risk` may be nullptr.
void draw_strip_plots(Canvas& canvas, const move::MoveResult& result, const move::MoveRisk* risk, const Vec2& corner,
                      double width_px);

}  // namespace steepwright::io
