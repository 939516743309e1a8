#pragma once

/// The typeface of the window.

struct ImFontAtlas;

namespace steepwright::viewer {

inline constexpr float kFontSize = 15.0F;  ///< layout units

/// Fills the atlas with the first of Inter, DejaVu Sans, or ImGui's own face that is there, at `size_px`.
void load_fonts(ImFontAtlas& atlas, float size_px);

}  // namespace steepwright::viewer
