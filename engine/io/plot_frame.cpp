#include "engine/io/plot_frame.h"

#include "engine/io/plot.h"

namespace steepwright::io {

namespace {

constexpr int kMostTicks = 9;

}  // namespace

void PlotFrame::draw(Canvas& canvas) const {
  const Plot plot{{x.lower_px, y.upper_px},
                  {x.upper_px - x.lower_px, y.lower_px - y.upper_px},
                  {x.lower, x.upper},
                  {y.lower, y.upper}};
  plot.draw_x_ticks(canvas, find_tick_step(plot.x.span(), kMostTicks), true);
  plot.draw_y_ticks(canvas, find_tick_step(plot.y.span(), kMostTicks), true);
  plot.draw_border(canvas);
  canvas.text({0.5 * (x.lower_px + x.upper_px), y.lower_px + 36.0}, x_label, {.size_px = 12.5, .anchor = "middle"});
  canvas.text({x.lower_px, y.upper_px - 9.0}, y_label, {.size_px = 12.5});
}

}  // namespace steepwright::io
