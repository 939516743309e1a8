#pragma once

/// The whole window as a picture, without a display.

#include "engine/core/error.h"
#include "viewer/panels/ui_state.h"

#include <filesystem>

namespace steepwright::viewer {

struct OffscreenOptions {
  std::filesystem::path scene;  ///< empty: the scene that comes with the program
  std::filesystem::path picture;
  int width_px = 1400, height_px = 900;
  float scale = 1.0F;
  bool is_light = false;
  bool is_plain = false;  ///< without shadows and smooth edges
  int move = 0;           ///< shown
  double t = 1.0;         ///< instant of the move, 0..1
  int hold = -1;          ///< selected
  PlotQuantity quantity = PlotQuantity::kUse;
  bool has_reach = false;  ///< waits for the finest map of the moving limb's reach
  int side_tab = -1;       ///< of the right panel: 0 hold, 1 grips, 2 wall, 3 climber; -1: as at first
};

/// Solves all moves and the risk of the one shown, draws, and writes a PNG.
[[nodiscard]] Result<void> render_offscreen(const OffscreenOptions& options);

}  // namespace steepwright::viewer
