#pragma once

/// The menu over the window.

#include "viewer/panels/panel_context.h"

namespace steepwright::viewer {

/// Returns its height, pixels. Marks "menu.File", "menu.File/Open", ...
[[nodiscard]] float draw_menu_bar(const PanelContext& context);

}  // namespace steepwright::viewer
