#pragma once

/// A picture of moves: side view (wall at the right, climber in front) and front view on one height scale, with the
/// stances before, touch and settled, contact forces coloured by the share of their limit, and the path of the centre
/// of mass. One row a move.

#include "engine/body/body.h"
#include "engine/io/drawing.h"
#include "engine/move/result.h"
#include "engine/move/scene.h"

#include <vector>

namespace steepwright::io {

/// `body` is the one the moves were solved with. The drawing outlives its arguments.
[[nodiscard]] Drawing make_moves_picture(const move::Scene& scene, const body::Body& body,
                                         const std::vector<move::MoveResult>& results);

}  // namespace steepwright::io
