#pragma once

/// How much each grip holds along every pull, as curves about the lip.

#include "engine/grip/survey.h"
#include "viewer/panels/panel_context.h"

#include <optional>

namespace steepwright::viewer {

/// The pull that a hand has at this instant in the plane of the floor.
struct PresentPull {
  double angle = 0.0;  ///< rad, as in survey.h
  double force_N = 0.0;
  double use = 0.0;
};

/// A short line as the grip of that row has it in the polar, at the cursor.
void draw_line_sample(const PanelContext& context, std::size_t row, bool is_shown);

/// Draws into a square as wide as the panel. The grip `shown` is drawn strong. Marked "grips.polar".
void draw_polar(const PanelContext& context, const grip::Survey& survey, std::optional<Grip> shown,
                const std::optional<PresentPull>& pull);

}  // namespace steepwright::viewer
