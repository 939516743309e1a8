#pragma once

/// The curves of a strip: what of a move is drawn against its course and against the height of the centre of mass.

#include "engine/move/result.h"

#include <vector>

namespace steepwright::io {

enum class StripRow { kLoad, kUse, kMargin, kFail, kPull };

struct Sample {
  double x = 0.0, y = 0.0, use = 0.0;
};
/// A line through neighbouring frames; gaps begin a new one.
using Piece = std::vector<Sample>;

/// Load (N), share of the capacity (%) or slip-off margin (degrees) of a limb while it is loaded; nothing for other
/// rows. `over_height`: against the height of the centre of mass in mm, else against t.
[[nodiscard]] std::vector<Piece> find_pieces(const move::MoveResult& result, Limb limb, StripRow row, bool over_height);

/// Direction of the lower hand's pull in degrees against the height of the centre of mass in mm.
[[nodiscard]] std::vector<Piece> find_pull_pieces(const move::MoveResult& result);

/// Frames of one phase that follow each other.
struct Span {
  move::Phase phase = move::Phase::kBefore;
  double from = 0.0, to = 0.0;  ///< t, half-way to the neighbours
};
[[nodiscard]] std::vector<Span> find_spans(const std::vector<move::Frame>& frames);

}  // namespace steepwright::io
