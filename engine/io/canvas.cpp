#include "engine/io/canvas.h"

#include <algorithm>

namespace steepwright::io {

void Canvas::arrow(const Vec2& a, const Vec2& b, const std::string& colour, double width_px) {
  const Vec2 along = b - a;
  const double length = along.norm();
  if (length < 1.0) return;
  const Vec2 unit = along / length;
  const Vec2 side(-unit.y(), unit.x());
  const double head = std::min(3.2 * width_px, 0.6 * length);
  const Vec2 neck = b - head * unit;
  const std::vector<Vec2> outline = {
      a + 0.5 * width_px * side,     neck + 0.5 * width_px * side, neck + 1.35 * width_px * side, b,
      neck - 1.35 * width_px * side, neck - 0.5 * width_px * side, a - 0.5 * width_px * side};
  polygon(outline, {.stroke = kInk, .width_px = 1.1, .fill = colour});
}

}  // namespace steepwright::io
