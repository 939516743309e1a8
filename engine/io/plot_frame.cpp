#include "engine/io/plot_frame.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace steepwright::io {

namespace {

constexpr const char* kLine = "#9aa5b1";
constexpr const char* kGrid = "#e3e7eb";
constexpr const char* kFaint = "#5b6875";
constexpr int kMostTicks = 9;

}  // namespace

double find_tick_step(double lower, double upper, int most) {
  const double range = std::max(upper - lower, 1e-9);
  const double decade = std::pow(10.0, std::floor(std::log10(range / most)));
  for (const double factor : {1.0, 2.0, 5.0}) {
    if (range / (factor * decade) <= most) return factor * decade;
  }
  return 10.0 * decade;
}

void PlotFrame::draw(SvgCanvas& canvas) const {
  const double x_step = find_tick_step(x.lower, x.upper, kMostTicks);
  for (double value = x_step * std::ceil(x.lower / x_step - 1e-9); value <= x.upper + 1e-9 * x_step; value += x_step) {
    canvas.line({x.at(value), y.lower_px}, {x.at(value), y.upper_px}, {.stroke = kGrid});
    canvas.text({x.at(value), y.lower_px + 16.0}, fmt::format("{:g}", std::abs(value) < 1e-9 ? 0.0 : value),
                {.size_px = 11.0, .fill = kFaint, .anchor = "middle"});
  }
  const double y_step = find_tick_step(y.lower, y.upper, kMostTicks);
  for (double value = y_step * std::ceil(y.lower / y_step - 1e-9); value <= y.upper + 1e-9 * y_step; value += y_step) {
    canvas.line({x.lower_px, y.at(value)}, {x.upper_px, y.at(value)}, {.stroke = kGrid});
    canvas.text({x.lower_px - 7.0, y.at(value) + 4.0}, fmt::format("{:g}", std::abs(value) < 1e-9 ? 0.0 : value),
                {.size_px = 11.0, .fill = kFaint, .anchor = "end"});
  }
  canvas.rectangle({x.lower_px, y.upper_px}, {x.upper_px - x.lower_px, y.lower_px - y.upper_px}, 0.0,
                   {.stroke = kLine, .width_px = 1.0});
  canvas.text({0.5 * (x.lower_px + x.upper_px), y.lower_px + 36.0}, x_label, {.size_px = 12.5, .anchor = "middle"});
  canvas.text({x.lower_px, y.upper_px - 9.0}, y_label, {.size_px = 12.5});
}

}  // namespace steepwright::io
