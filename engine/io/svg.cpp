#include "engine/io/svg.h"

#include "engine/figure/move_figure.h"
#include "engine/figure/scene_figure.h"
#include "engine/io/atomic_file.h"
#include "engine/io/captions.h"
#include "engine/io/svg_canvas.h"
#include "engine/io/svg_view.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace steepwright::io {

namespace {

constexpr double kPageWidth = 1280.0;
constexpr double kMargin = 36.0;
constexpr double kViewGap = 28.0;
constexpr double kViewHeight = 600.0;
constexpr double kTitleHeight = 64.0;
constexpr double kLegendHeight = 74.0;
constexpr double kFooterHeight = 66.0;
constexpr double kBody_px = 14.0;
constexpr double kLabelRoom_px = 150.0;  // behind the wall, for the names of its strips
constexpr const char* kMuted = "#52606d";

std::vector<std::string> find_used_holds(const move::Scene& scene, const move::MoveResult& result) {
  std::vector<std::string> names;
  for (const move::Frame& frame : result.frames) {
    for (const move::ContactResult& contact : frame.contacts) names.push_back(contact.hold);
  }
  for (const move::Move& move : scene.moves) {
    if (move.name == result.name && move.target.hold >= 0)
      names.push_back(scene.holds[static_cast<std::size_t>(move.target.hold)].name);
  }
  return names;
}

struct Views {
  View side, front;
};

// Both views on one scale, as large as the page allows, with what is drawn in the middle.
Views fit_views(const figure::Figure& scene, const figure::Figure& moves, double top) {
  figure::Figure wall;
  wall.faces = scene.faces;
  figure::Box box = figure::find_box(wall);
  const figure::Box climber = figure::find_box(moves);
  box.lower = box.lower.cwiseMin(climber.lower) - Vec3(0.15, 0.15, 0.0);
  box.upper = box.upper.cwiseMax(climber.upper) + Vec3(0.15, 0.12, 0.22);
  box.lower.z() = -0.06;
  const Vec3 extent = box.upper - box.lower;
  const double room = kPageWidth - 2.0 * kMargin - kViewGap - kLabelRoom_px;
  const double px_per_m = std::min(kViewHeight / extent.z(), room / (extent.x() + extent.y()));
  const double height = extent.z() * px_per_m;
  Views views;
  const double side_width = extent.y() * px_per_m + kLabelRoom_px;
  const double front_width = extent.x() * px_per_m;
  const double left = 0.5 * (kPageWidth - side_width - kViewGap - front_width);
  views.side = {1, {left, top}, {side_width, height}, {box.lower.y(), box.lower.z()}, px_per_m};
  views.front = {
      0, {left + side_width + kViewGap, top}, {front_width, height}, {box.lower.x(), box.lower.z()}, px_per_m};
  return views;
}

// The lines of the instants, the centre of mass, the scale bar and the colour scale, from left to right.
void draw_legend(double top, double px_per_m, const std::vector<DrawnFrame>& drawn, SvgCanvas& canvas) {
  const TextStyle text{.size_px = 12.5, .fill = "#323f4b"};
  double x = kMargin;
  const double y = top + 22.0;
  for (const DrawnFrame& frame : drawn) {
    canvas.line({x, y}, {x + 44.0, y}, frame.look->bone);
    canvas.text({x + 52.0, y + 4.5}, frame.look->caption, text);
    x += 52.0 + estimate_text_width(frame.look->caption, 12.5) + 22.0;
  }
  canvas.circle({x + 6.0, y}, 6.0, {.stroke = "#1c2733", .width_px = 1.6, .fill = "#ffffff"});
  canvas.line({x + 12.0, y}, {x + 32.0, y}, {.stroke = "#1c2733", .width_px = 1.4});
  canvas.text({x + 40.0, y + 4.5}, "centre of mass, its path and plumb line", text);

  const double bar_px = 0.5 * px_per_m;
  const double bar_y = top + 50.0;
  canvas.line({kMargin, bar_y}, {kMargin + bar_px, bar_y}, {.stroke = "#1c2733", .width_px = 2.0});
  for (const double end : {kMargin, kMargin + bar_px})
    canvas.line({end, bar_y - 5.0}, {end, bar_y + 5.0}, {.stroke = "#1c2733", .width_px = 2.0});
  canvas.text({kMargin + bar_px + 10.0, bar_y + 4.5}, "0.5 m", text);
  canvas.circle({kMargin + bar_px + 100.0, bar_y}, 9.0, {.stroke = "#1c2733", .width_px = 1.4, .dash = "3 3"});
  canvas.text({kMargin + bar_px + 117.0, bar_y + 4.5}, "target of the move", text);

  constexpr double kScaleWidth = 260.0;
  canvas.text({kPageWidth - kMargin, y + 2.0},
              "arrow: force of the hold on the climber; colour: share of the strength there",
              {.size_px = 12.5, .fill = "#323f4b", .anchor = "end"});
  draw_use_scale(canvas, {kPageWidth - kMargin - kScaleWidth - 52.0, bar_y - 14.0}, kScaleWidth);
}

// Draws one move from `top`; returns where the next may begin.
double draw_move(const move::Scene& scene, const body::Body& body, const figure::Figure& scene_figure,
                 const move::MoveResult& result, double top, SvgCanvas& canvas) {
  const figure::Figure moves = figure::make_move_figure(scene, body, result);
  const std::vector<DrawnFrame> drawn = find_drawn_frames(result);
  canvas.text({kMargin, top + 20.0}, result.name, {.size_px = 18.0, .bold = true});
  double y = top + 42.0;
  for (const std::string& line : wrap_text(describe_verdict(result), kBody_px, kPageWidth - 2.0 * kMargin)) {
    canvas.text({kMargin, y}, line, {.size_px = kBody_px});
    y += 19.0;
  }
  if (!drawn.empty() && !result.frames[static_cast<std::size_t>(drawn.back().frame)].is_held) {
    canvas.text(
        {kMargin, y},
        fmt::format("'{}' does not hold; the nearest posture that was found is drawn", drawn.back().look->caption),
        {.size_px = 12.5, .fill = kMuted});
    y += 19.0;
  }
  const Views views = fit_views(scene_figure, moves, y + 8.0);
  for (const View* view : {&views.side, &views.front}) {
    const char* caption = view->horizontal == 1 ? "from the side" : "from the climber's side";
    canvas.text({view->corner.x(), view->corner.y() + 10.0}, caption, {.size_px = 12.0, .fill = kMuted});
    draw_view(*view, scene_figure, moves, drawn, find_used_holds(scene, result), canvas);
  }
  const double below = views.side.corner.y() + views.side.size.y();
  draw_legend(below, views.side.px_per_m, drawn, canvas);
  return below + kLegendHeight + 14.0;
}

}  // namespace

std::string make_svg(const move::Scene& scene, const body::Body& body, const std::vector<move::MoveResult>& results) {
  SvgCanvas canvas;
  const figure::Figure scene_figure = figure::make_scene_figure(scene);
  canvas.text({kMargin, 38.0}, scene.name.empty() ? "scene" : scene.name, {.size_px = 22.0, .bold = true});
  canvas.text({kPageWidth - kMargin, 38.0}, describe_climber(scene, body),
              {.size_px = kBody_px, .fill = kMuted, .anchor = "end"});
  double y = kTitleHeight;
  for (const move::MoveResult& result : results) {
    canvas.line({kMargin, y - 8.0}, {kPageWidth - kMargin, y - 8.0}, {.stroke = "#cbd2d9", .width_px = 1.0});
    y = draw_move(scene, body, scene_figure, result, y + 4.0, canvas);
  }
  canvas.line({kMargin, y}, {kPageWidth - kMargin, y}, {.stroke = "#cbd2d9", .width_px = 1.0});
  draw_cautions(canvas, {kMargin, y + 20.0});
  return canvas.finish(kPageWidth, y + kFooterHeight, scene.name);
}

Result<void> save_svg(const std::string& path, const move::Scene& scene, const body::Body& body,
                      const std::vector<move::MoveResult>& results) {
  return save_atomically(path, make_svg(scene, body, results));
}

}  // namespace steepwright::io
