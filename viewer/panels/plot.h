#pragma once

/// A plain plot of lines over one axis, drawn with ImGui's draw list.

#include "viewer/panels/panel_context.h"

#include <string>
#include <vector>

namespace steepwright::viewer {

struct PlotPoint {
  double x = 0.0, y = 0.0;
  double use = -1.0;  ///< colours the line by the scale of use; below 0: the text's colour
};

struct PlotLine {
  std::string label;  ///< at its right end
  std::vector<PlotPoint> points;
  float width = 1.5F;  ///< in layout units
  float dash = 0.0F;   ///< length of dashes and gaps, layout units; 0: solid
};

/// What lies between two curves, in the text's colour.
struct PlotBand {
  struct Slice {
    double x = 0.0, low = 0.0, high = 0.0;
  };
  std::vector<Slice> slices;
  float opacity = 0.12F;
};

struct PlotRange {
  double lower = 0.0, upper = 1.0;
};

struct Plot {
  std::string x_title;
  PlotRange x, y;
  std::vector<PlotBand> bands;
  std::vector<PlotLine> lines;
  std::vector<double> y_marks;                          ///< horizontal lines that mean something: the limit
  std::vector<std::pair<double, std::string>> x_marks;  ///< names along the x axis: phases
  double cursor_x = 0.0;
};

/// Draws into what is left of the panel. Returns the x under the pointer while it is dragged in the plot. Marked `name`
/// (its inner rectangle).
[[nodiscard]] std::optional<double> draw_plot(const PanelContext& context, const char* name, const Plot& plot);

}  // namespace steepwright::viewer
