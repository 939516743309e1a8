#pragma once

/// What every contact feels as the body rises, with the scrubber; and the log.

#include "viewer/panels/panel_context.h"

namespace steepwright::viewer {

/// Marks "rise.plot", "rise.play", "rise.quantity/<name>", "rise.axis".
void draw_rise(const PanelContext& context);

/// Doubtful things of the scene, and what happened. Marks "log".
void draw_log(const PanelContext& context);

}  // namespace steepwright::viewer
