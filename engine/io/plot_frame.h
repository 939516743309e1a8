#pragma once

/// A rectangle of a picture with two scales: what line and field plots share.

#include "engine/io/canvas.h"

#include <string>

namespace steepwright::io {

/// From a value to a place along one side of the frame.
struct PlotScale {
  double lower = 0.0, upper = 1.0;
  double lower_px = 0.0, upper_px = 1.0;

  [[nodiscard]] double at(double value) const {
    return lower_px + (upper_px - lower_px) * (value - lower) / (upper - lower);
  }
};

struct PlotFrame {
  PlotScale x, y;
  std::string x_label, y_label;

  [[nodiscard]] Vec2 at(double value_x, double value_y) const { return {x.at(value_x), y.at(value_y)}; }
  /// Box, ticks, numbers and labels.
  void draw(Canvas& canvas) const;
};

}  // namespace steepwright::io
