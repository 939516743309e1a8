#pragma once

/// The moves with verdict and cause, and the stance of the selected one.

#include "viewer/panels/panel_context.h"

namespace steepwright::viewer {

/// One row a move; a click selects it. Marks "move.0", "move.1", ..., "moves.define", "moves.delete".
void draw_move_list(const PanelContext& context);

/// Who holds what with which grip, and what each limb uses at the scrubbed instant. Marks "grip.LH", "grip.RH".
void draw_stance(const PanelContext& context);

}  // namespace steepwright::viewer
