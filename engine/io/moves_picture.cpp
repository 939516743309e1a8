#include "engine/io/moves_picture.h"

#include "engine/figure/move_figure.h"
#include "engine/figure/scene_figure.h"
#include "engine/io/captions.h"
#include "engine/io/svg_canvas.h"
#include "engine/io/svg_view.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <string>

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
constexpr double kLine_px = 19.0;
constexpr double kLabelRoom_px = 150.0;  // behind the wall, for the names of its strips

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
void draw_legend(double top, double px_per_m, const std::vector<DrawnFrame>& drawn, Canvas& canvas) {
  const TextStyle text{.size_px = 12.5, .fill = "#323f4b"};
  double x = kMargin;
  const double y = top + 22.0;
  for (const DrawnFrame& frame : drawn) {
    canvas.line({x, y}, {x + 44.0, y}, frame.look->bone);
    canvas.text({x + 52.0, y + 4.5}, frame.look->caption, text);
    x += 52.0 + estimate_text_width(frame.look->caption, 12.5) + 22.0;
  }
  canvas.circle({x + 6.0, y}, 6.0, {.stroke = kInk, .width_px = 1.6, .fill = "#ffffff"});
  canvas.line({x + 12.0, y}, {x + 32.0, y}, {.stroke = kInk, .width_px = 1.4});
  canvas.text({x + 40.0, y + 4.5}, "centre of mass, its path and plumb line", text);

  const double bar_px = 0.5 * px_per_m;
  const double bar_y = top + 50.0;
  canvas.line({kMargin, bar_y}, {kMargin + bar_px, bar_y}, {.stroke = kInk, .width_px = 2.0});
  for (const double end : {kMargin, kMargin + bar_px})
    canvas.line({end, bar_y - 5.0}, {end, bar_y + 5.0}, {.stroke = kInk, .width_px = 2.0});
  canvas.text({kMargin + bar_px + 10.0, bar_y + 4.5}, "0.5 m", text);
  canvas.circle({kMargin + bar_px + 100.0, bar_y}, 9.0, {.stroke = kInk, .width_px = 1.4, .dash = "3 3"});
  canvas.text({kMargin + bar_px + 117.0, bar_y + 4.5}, "target of the move", text);

  constexpr double kScaleWidth = 260.0;
  canvas.text({kPageWidth - kMargin, y + 2.0},
              "arrow: force of the hold on the climber; colour: share of the strength there",
              {.size_px = 12.5, .fill = "#323f4b", .anchor = "end"});
  draw_use_scale(canvas, {kPageWidth - kMargin - kScaleWidth - 52.0, bar_y - 14.0}, kScaleWidth);
}

/// Rows of one page, laid out once.
class MovesPage {
 public:
  MovesPage(const move::Scene& scene, const body::Body& body, const std::vector<move::MoveResult>& results)
      : name_(scene.name), climber_(describe_climber(scene, body)), scene_figure_(figure::make_scene_figure(scene)) {
    bottom_ = kTitleHeight;
    for (const move::MoveResult& result : results) add_row(scene, body, result);
  }

  [[nodiscard]] const std::string& name() const { return name_; }
  [[nodiscard]] double height_px() const { return bottom_ + kFooterHeight; }

  void draw(Canvas& canvas) const {
    canvas.text({kMargin, 38.0}, name_.empty() ? "scene" : name_, {.size_px = 22.0, .bold = true});
    canvas.text({kPageWidth - kMargin, 38.0}, climber_, {.size_px = kBody_px, .fill = kMuted, .anchor = "end"});
    for (const Row& row : rows_) {
      draw_rule(canvas, row.top - 12.0);
      draw_row(canvas, row);
    }
    draw_rule(canvas, bottom_);
    draw_cautions(canvas, {kMargin, bottom_ + 20.0});
  }

 private:
  struct Row {
    std::string name;
    std::vector<std::string> verdict;  ///< lines
    std::string remark;                ///< that the last posture does not hold
    std::vector<std::string> named_holds;
    figure::Figure moves;
    std::vector<DrawnFrame> drawn;
    Views views;
    double top = 0.0;
  };

  void add_row(const move::Scene& scene, const body::Body& body, const move::MoveResult& result) {
    Row row;
    row.name = result.name;
    row.verdict = wrap_text(describe_verdict(result), kBody_px, kPageWidth - 2.0 * kMargin);
    row.named_holds = find_used_holds(scene, result);
    row.moves = figure::make_move_figure(scene, body, result);
    row.drawn = find_drawn_frames(result);
    if (!row.drawn.empty() && !result.frames[static_cast<std::size_t>(row.drawn.back().frame)].is_held)
      row.remark = fmt::format("'{}' does not hold; the nearest posture that was found is drawn",
                               row.drawn.back().look->caption);
    row.top = bottom_ + 4.0;
    const std::size_t n_lines = row.verdict.size() + (row.remark.empty() ? 0 : 1);
    row.views = fit_views(scene_figure_, row.moves, row.top + 50.0 + kLine_px * static_cast<double>(n_lines));
    bottom_ = row.views.side.corner.y() + row.views.side.size.y() + kLegendHeight + 14.0;
    rows_.push_back(std::move(row));
  }

  static void draw_rule(Canvas& canvas, double y) {
    canvas.line({kMargin, y}, {kPageWidth - kMargin, y}, {.stroke = "#cbd2d9", .width_px = 1.0});
  }

  void draw_row(Canvas& canvas, const Row& row) const {
    canvas.text({kMargin, row.top + 20.0}, row.name, {.size_px = 18.0, .bold = true});
    double y = row.top + 42.0;
    for (const std::string& line : row.verdict) {
      canvas.text({kMargin, y}, line, {.size_px = kBody_px});
      y += kLine_px;
    }
    if (!row.remark.empty()) canvas.text({kMargin, y}, row.remark, {.size_px = 12.5, .fill = kMuted});
    for (const View* view : {&row.views.side, &row.views.front}) {
      const char* caption = view->horizontal == 1 ? "from the side" : "from the climber's side";
      canvas.text({view->corner.x(), view->corner.y() + 10.0}, caption, {.size_px = 12.0, .fill = kMuted});
      draw_view(*view, scene_figure_, row.moves, row.drawn, row.named_holds, canvas);
    }
    draw_legend(row.views.side.corner.y() + row.views.side.size.y(), row.views.side.px_per_m, row.drawn, canvas);
  }

  std::string name_, climber_;
  figure::Figure scene_figure_;
  std::vector<Row> rows_;
  double bottom_ = 0.0;  ///< px, below the last row
};

}  // namespace

Drawing make_moves_picture(const move::Scene& scene, const body::Body& body,
                           const std::vector<move::MoveResult>& results) {
  const auto page = std::make_shared<const MovesPage>(scene, body, results);
  return {page->name(), {kPageWidth, page->height_px()}, [page](Canvas& canvas) { page->draw(canvas); }};
}

}  // namespace steepwright::io
