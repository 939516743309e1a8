#include "engine/io/plot.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace steepwright::io {

namespace {

constexpr double kTick_px = 11.0;

std::string show_tick(double value, double step) {
  const int digits = step >= 1.0 ? 0 : static_cast<int>(std::ceil(-std::log10(step) - 1e-9));
  const double tidy = std::abs(value) < 1e-9 * step ? 0.0 : value;
  return fmt::format("{:.{}f}", tidy, digits);
}

/// Calls visit for every multiple of the step inside the range.
template <typename Visit>
void for_each_tick(const PlotRange& range, double step, Visit&& visit) {
  const auto first = static_cast<long>(std::ceil(range.lower / step - 1e-6));
  const auto last = static_cast<long>(std::floor(range.upper / step + 1e-6));
  for (long i = first; i <= last; ++i) visit(static_cast<double>(i) * step);
}

}  // namespace

void PlotRange::include(double value) {
  lower = std::min(lower, value);
  upper = std::max(upper, value);
}

double find_tick_step(double span, int wanted) {
  const double rough = std::max(span, 1e-12) / std::max(wanted, 1);
  const double decade = std::pow(10.0, std::floor(std::log10(rough)));
  for (const double factor : {1.0, 2.0, 5.0}) {
    if (factor * decade >= rough * (1.0 - 1e-9)) return factor * decade;
  }
  return 10.0 * decade;
}

PlotRange round_out(const PlotRange& range, double step) {
  return {step * std::floor(range.lower / step + 1e-6), step * std::ceil(range.upper / step - 1e-6)};
}

void Plot::draw_x_ticks(Canvas& canvas, double step, bool has_figures) const {
  for_each_tick(x, step, [&](double value) {
    canvas.line(at(value, y.lower), at(value, y.upper), {.stroke = kPlotGrid});
    if (has_figures)
      canvas.text(at(value, y.lower) + Vec2(0.0, 15.0), show_tick(value, step),
                  {.size_px = kTick_px, .fill = kMuted, .anchor = "middle"});
  });
}

void Plot::draw_y_ticks(Canvas& canvas, double step, bool has_figures) const {
  for_each_tick(y, step, [&](double value) {
    canvas.line(at(x.lower, value), at(x.upper, value), {.stroke = kPlotGrid});
    if (has_figures)
      canvas.text(at(x.lower, value) + Vec2(-7.0, 4.0), show_tick(value, step),
                  {.size_px = kTick_px, .fill = kMuted, .anchor = "end"});
  });
}

void Plot::draw_border(Canvas& canvas) const {
  canvas.rectangle(corner, size, 0.0, {.stroke = "#9aa5b1", .width_px = 1.0});
}

void Plot::draw_level(Canvas& canvas, double y_value, const std::string& name) const {
  canvas.line(at(x.lower, y_value), at(x.upper, y_value), {.stroke = kInk, .width_px = 1.2, .dash = "6 4"});
  canvas.text(corner + Vec2(size.x(), -8.0), "dashed: " + name,
              {.size_px = kTick_px, .fill = kMuted, .anchor = "end", .halo = true});
}

}  // namespace steepwright::io
