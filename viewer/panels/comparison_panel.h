#pragma once

/// The selected move with every grip that its hands' holds allow.

#include "viewer/panels/panel_context.h"

namespace steepwright::viewer {

/// Marks "compared.ask", "compared.table/<LH or RH>".
void draw_comparison(const PanelContext& context);

}  // namespace steepwright::viewer
