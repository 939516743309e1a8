#include "viewer/panels/dashes.h"

#include <imgui/imgui.h>

#include <algorithm>
#include <cmath>

namespace steepwright::viewer {

void draw_dashed_piece(const ImVec2& a, const ImVec2& b, unsigned int color, float width, const Dashes& dashes,
                       float& along, ImDrawList& list) {
  if (dashes.dash <= 0.0F) {
    list.AddLine(a, b, color, width);
    return;
  }
  constexpr float kLeastStep_px = 0.1F;
  const float period = dashes.dash + dashes.gap;
  const float length = std::hypot(b.x - a.x, b.y - a.y);
  const auto at = [&](float way) {
    const float share = way / length;
    return ImVec2(a.x + share * (b.x - a.x), a.y + share * (b.y - a.y));
  };
  for (float done = 0.0F; done < length;) {
    const float phase = std::fmod(along, period);
    const bool is_dash = phase < dashes.dash;
    const float rest = (is_dash ? dashes.dash : period) - phase;
    const float step = std::min(std::max(rest, kLeastStep_px), length - done);
    if (is_dash) list.AddLine(at(done), at(done + step), color, width);
    done += step;
    along += step;
  }
}

}  // namespace steepwright::viewer
