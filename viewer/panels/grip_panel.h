#pragma once

/// The selected site's grips: table of what each holds, and the polar of force over pull.

#include "viewer/panels/panel_context.h"

namespace steepwright::viewer {

/// Marks "grips.table", "grips.polar".
void draw_grips(const PanelContext& context);

}  // namespace steepwright::viewer
