#pragma once

/// The one colour scale: how much of a limit is used. Colours as data, for dark and light backgrounds.

#include "viewer/render/render_scene.h"

#include <array>
#include <span>
#include <string>
#include <vector>

namespace steepwright::viewer::render {

enum class Theme { kDark, kLight };

/// Colour of a use: 0 nothing, 1 the whole limit; above 1 one colour of its own, told apart by lightness and hue.
[[nodiscard]] Color find_use_color(float use, Theme theme);

/// The steps of the scale from use 0 to 1, evenly spaced in use and in perceived difference.
inline constexpr std::size_t kUseSteps = 17;
[[nodiscard]] std::span<const Color, kUseSteps> use_steps(Theme theme);
/// Colour of everything above 1.
[[nodiscard]] Color over_limit_color(Theme theme);

struct LegendEntry {
  float use = 0.0F;
  Color color{0.0F};
  std::string label;  ///< "0 %", "50 %", "100 %", "over"; "" between the ticks
};
/// The scale from bottom to top with its labels, for a legend with `n_steps` boxes from 0 to 100 %, and one above.
[[nodiscard]] std::vector<LegendEntry> make_use_legend(Theme theme, int n_steps = 16);

}  // namespace steepwright::viewer::render
