#pragma once

/// Colours of the window. Everything is grey but the use of a limit, which has the one colour scale.

#include "viewer/render/use_scale.h"

#include <imgui/imgui.h>

namespace steepwright::viewer {

struct Palette {
  render::Theme theme = render::Theme::kDark;
  ImVec4 text, faint_text, panel, raised, frame, line, strong;
  float scale = 1.0F;  ///< pixels a unit of layout

  [[nodiscard]] ImU32 use_color(double use) const;
};

[[nodiscard]] Palette make_palette(render::Theme theme, float scale);
/// Sets ImGui's style to the palette; sizes are multiplied by its scale.
void apply_style(const Palette& palette);
[[nodiscard]] inline ImU32 to_u32(const ImVec4& color) { return ImGui::ColorConvertFloat4ToU32(color); }
[[nodiscard]] ImVec4 faded(const ImVec4& color, float opacity);

}  // namespace steepwright::viewer
