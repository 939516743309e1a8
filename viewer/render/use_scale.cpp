#include "viewer/render/use_scale.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace steepwright::viewer::render {

namespace {

using Steps = std::array<Color, kUseSteps>;

// Own choice: curves through CIE L*a*b* along which lightness rises (dark) or falls (light) all the way, cut into
// steps of equal CIEDE2000 difference. The more is used, the more a thing stands out from the background. Told apart
// by lightness alone too, so by people who do not see red from green or blue from yellow; the tests measure it.
constexpr Steps kDark = {{
    {0.343F, 0.471F, 0.822F},
    {0.460F, 0.510F, 0.839F},
    {0.561F, 0.542F, 0.838F},
    {0.642F, 0.559F, 0.811F},
    {0.710F, 0.567F, 0.772F},
    {0.772F, 0.574F, 0.728F},
    {0.828F, 0.582F, 0.681F},
    {0.875F, 0.594F, 0.636F},
    {0.912F, 0.614F, 0.596F},
    {0.940F, 0.639F, 0.560F},
    {0.962F, 0.669F, 0.524F},
    {0.979F, 0.703F, 0.488F},
    {0.991F, 0.743F, 0.453F},
    {0.997F, 0.789F, 0.422F},
    {0.992F, 0.840F, 0.397F},
    {0.981F, 0.895F, 0.373F},
    {0.963F, 0.959F, 0.342F},
}};
constexpr Steps kLight = {{
    {0.526F, 0.654F, 0.874F},
    {0.428F, 0.584F, 0.889F},
    {0.377F, 0.515F, 0.855F},
    {0.413F, 0.470F, 0.773F},
    {0.448F, 0.438F, 0.693F},
    {0.476F, 0.411F, 0.620F},
    {0.500F, 0.384F, 0.550F},
    {0.524F, 0.357F, 0.481F},
    {0.552F, 0.333F, 0.416F},
    {0.577F, 0.309F, 0.352F},
    {0.600F, 0.283F, 0.284F},
    {0.615F, 0.249F, 0.204F},
    {0.599F, 0.197F, 0.104F},
    {0.500F, 0.156F, 0.072F},
    {0.404F, 0.135F, 0.084F},
    {0.321F, 0.119F, 0.097F},
    {0.249F, 0.103F, 0.104F},
}};
// Of all colours those that keep the largest difference from every step, for every kind of sight.
constexpr Color kOverDark{0.856F, 0.962F, 0.996F};
constexpr Color kOverLight{0.146F, 0.150F, 0.443F};

/// A use just over 1 by rounding is still the whole limit.
constexpr float kUseRounding = 5e-4F;

}  // namespace

std::span<const Color, kUseSteps> use_steps(Theme theme) { return theme == Theme::kDark ? kDark : kLight; }

Color over_limit_color(Theme theme) { return theme == Theme::kDark ? kOverDark : kOverLight; }

Color find_use_color(float use, Theme theme) {
  if (use > 1.0F + kUseRounding) return over_limit_color(theme);
  const std::span<const Color, kUseSteps> steps = use_steps(theme);
  // Written so that a use that is no number falls to the bottom.
  const float at = (use > 0.0F ? std::min(use, 1.0F) : 0.0F) * static_cast<float>(kUseSteps - 1);
  const auto below = std::min(static_cast<std::size_t>(at), kUseSteps - 2);
  return glm::mix(steps[below], steps[below + 1], at - static_cast<float>(below));
}

std::vector<LegendEntry> make_use_legend(Theme theme, int n_steps) {
  const int n = std::max(n_steps, 1);
  std::vector<LegendEntry> legend;
  legend.reserve(static_cast<std::size_t>(n) + 2);
  int labelled = -1;
  for (int i = 0; i <= n; ++i) {
    const float use = static_cast<float>(i) / static_cast<float>(n);
    LegendEntry entry{use, find_use_color(use, theme), {}};
    // Quarters, at the step nearest below.
    const int quarter = static_cast<int>(std::floor(4.0F * use + 1e-4F));
    if (quarter > labelled) entry.label = fmt::format("{} %", std::lround(100.0F * use));
    labelled = std::max(labelled, quarter);
    legend.push_back(std::move(entry));
  }
  constexpr float kOver = 1.25F;
  legend.push_back({kOver, over_limit_color(theme), "over"});
  return legend;
}

}  // namespace steepwright::viewer::render
