#pragma once

/// A plot's frame: ranges, ticks and grid in a rectangle of a drawing.

#include "engine/io/canvas.h"

#include <string>
#include <vector>

namespace steepwright::io {

inline constexpr const char* kPlotGrid = "#dde2e7";

struct PlotRange {
  double lower = 0.0, upper = 1.0;
  [[nodiscard]] double span() const { return upper - lower; }
  void include(double value);
};

/// Round steps (1, 2 or 5 times a power of ten) so that about `wanted` of them fill the span.
[[nodiscard]] double find_tick_step(double span, int wanted);
/// The range widened to whole steps.
[[nodiscard]] PlotRange round_out(const PlotRange& range, double step);

struct Plot {
  Vec2 corner{0.0, 0.0}, size{100.0, 100.0};
  PlotRange x, y;

  [[nodiscard]] Vec2 at(double x_value, double y_value) const {
    return {corner.x() + (x_value - x.lower) / x.span() * size.x(),
            corner.y() + size.y() - (y_value - y.lower) / y.span() * size.y()};
  }
  /// Grid lines and figures of the ticks; `has_figures` false: lines only.
  void draw_x_ticks(Canvas& canvas, double step, bool has_figures) const;
  void draw_y_ticks(Canvas& canvas, double step, bool has_figures) const;
  void draw_border(Canvas& canvas) const;
  /// A line across the whole plot; its name stands over the plot's right end, where no data lie.
  void draw_level(Canvas& canvas, double y_value, const std::string& name) const;
};

}  // namespace steepwright::io
