#pragma once

/// One orthographic view of a figure on a canvas.

#include "engine/figure/primitive.h"
#include "engine/io/canvas.h"
#include "engine/move/result.h"

#include <string>
#include <vector>

namespace steepwright::io {

/// How the line work of one instant looks: shades of one neutral hue, told apart by dash as well.
struct PhaseLook {
  move::Phase phase = move::Phase::kBefore;
  std::string caption;
  Paint bone;
};
[[nodiscard]] const std::vector<PhaseLook>& phase_looks();

/// Which frames of a move are drawn, in drawing order, and how.
struct DrawnFrame {
  int frame = 0;
  const PhaseLook* look = nullptr;
};
[[nodiscard]] std::vector<DrawnFrame> find_drawn_frames(const move::MoveResult& result);

/// Maps W to the page: horizontal axis x (front) or y (side), z up.
struct View {
  int horizontal = 1;  ///< coordinate of W that runs to the right: 0 front, 1 side
  Vec2 corner{0, 0};   ///< top left of the view, px
  Vec2 size{100, 100};
  Vec2 lower_m{0, 0};  ///< W coordinates at the lower left corner (horizontal, z)
  double px_per_m = 100.0;

  [[nodiscard]] Vec2 at(const Vec3& p_W) const {
    return {corner.x() + (p_W[horizontal] - lower_m.x()) * px_per_m,
            corner.y() + size.y() - (p_W.z() - lower_m.y()) * px_per_m};
  }
};

/// Draws wall, holds and the drawn frames of the move. Labels of strips stand in the side view, labels of holds in the
/// front view.
void draw_view(const View& view, const figure::Figure& scene, const figure::Figure& moves,
               const std::vector<DrawnFrame>& frames, const std::vector<std::string>& named_holds, Canvas& canvas);

/// The same of one frame for a strip of small figures: body, centre of mass, forces; no words.
void draw_small_view(const View& view, const figure::Figure& scene, const figure::Figure& moves, int frame,
                     Canvas& canvas);

}  // namespace steepwright::io
