#pragma once

/// Lines that are told apart by their dashes: colour is for use.

struct ImDrawList;
struct ImVec2;

namespace steepwright::viewer {

/// Lengths of dashes and of the gaps between them; no dashes: solid.
struct Dashes {
  float dash = 0.0F, gap = 0.0F;
};

/// One piece of a line of many; `along` is the way since the line's start and goes on over the pieces.
void draw_dashed_piece(const ImVec2& a, const ImVec2& b, unsigned int color, float width, const Dashes& dashes,
                       float& along, ImDrawList& list);

}  // namespace steepwright::viewer
