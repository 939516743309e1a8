#pragma once

/// Angles and lengths of the strips.

#include "viewer/panels/panel_context.h"

namespace steepwright::viewer {

/// Marks "wall.<strip>.angle" and "wall.<strip>.length" by the strip's name.
void draw_wall(const PanelContext& context);

}  // namespace steepwright::viewer
