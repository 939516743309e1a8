#pragma once

/// What the pictures of studies have in common: inks, a letter for each cause, the moves in question.

#include "engine/io/canvas.h"
#include "engine/move/result.h"
#include "engine/move/scene.h"

#include <array>
#include <string>
#include <vector>

namespace steepwright::io {

/// r(each), w(all or room), s(lip), g(rip or foothold), m(uscles); "" for a move that holds.
[[nodiscard]] const char* letter_of(move::Cause cause);

/// "'left hand to the bar'" for a scene with one move, else "all 5 moves".
[[nodiscard]] std::string describe_moves(const move::Scene& scene);

/// Segments that share ends, as long lines.
[[nodiscard]] std::vector<std::vector<Vec2>> join_segments(const std::vector<std::array<Vec2, 2>>& segments);

}  // namespace steepwright::io
