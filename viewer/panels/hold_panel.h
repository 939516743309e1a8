#pragma once

/// The selected hold: name, shape, place, turn; and adding new ones.

#include "viewer/panels/panel_context.h"

namespace steepwright::viewer {

/// Marks "hold.model", "hold.turn", "hold.delete", "hold.duplicate", "hold.mirror", "hold.add".
void draw_hold(const PanelContext& context);

}  // namespace steepwright::viewer
