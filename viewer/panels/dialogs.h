#pragma once

/// What lies over everything else: cautions, keys, about, files, questions.

#include "viewer/panels/panel_context.h"

namespace steepwright::viewer {

/// Draws the dialog that ui.dialog names, as a modal. Marks "dialog.ok", "dialog.cancel", "dialog.discard",
/// "dialog.name", "dialog.entry/<file>".
void draw_dialog(const PanelContext& context);
/// Instead of the panels while the first scene is read. Mark "awaited.stop".
void draw_awaited_scene(const PanelContext& context);

}  // namespace steepwright::viewer
