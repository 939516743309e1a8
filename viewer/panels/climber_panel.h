#pragma once

/// The climber's measures and strengths.

#include "viewer/panels/panel_context.h"

namespace steepwright::viewer {

/// Marks "climber.stature", "climber.mass", "climber.span", "climber.edge_force", ...
void draw_climber(const PanelContext& context);

}  // namespace steepwright::viewer
