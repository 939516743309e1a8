#include "engine/io/strip_picture.h"

#include "engine/figure/move_figure.h"
#include "engine/figure/scene_figure.h"
#include "engine/figure/strip_frames.h"
#include "engine/io/captions.h"
#include "engine/io/quantities.h"
#include "engine/io/strip_plots.h"
#include "engine/io/svg_canvas.h"
#include "engine/io/svg_view.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <string>
#include <vector>

namespace steepwright::io {

namespace {

constexpr double kWidth_px = 1400.0;
constexpr double kMargin_px = 36.0;
constexpr double kFigureGap_px = 8.0;
constexpr double kMostFigureHeight_px = 330.0;
constexpr double kCaptions_px = 42.0;  ///< below a figure
constexpr double kText_px = 13.0;
constexpr double kLegend_px = 58.0;
constexpr double kCautions_px = 58.0;
constexpr int kMostFigures = 8;

class Strip {
 public:
  Strip(move::Scene scene, body::Body body, move::MoveResult result, std::optional<move::MoveRisk> risk)
      : scene_(std::move(scene)), body_(std::move(body)), result_(std::move(result)), risk_(std::move(risk)) {
    scene_figure_ = figure::make_scene_figure(scene_);
    move_figure_ = figure::make_move_figure(scene_, body_, result_, {.m_per_N = 0.4 / 700.0});
    chosen_ =
        figure::choose_strip_frames(body_, figure::make_skeleton(body_), result_, kMostFigures, result_.deciding_frame);
    verdict_ = wrap_text(describe_verdict(result_), kText_px + 1.0, kWidth_px - 2.0 * kMargin_px);
    fit_views();
  }

  [[nodiscard]] double height_px() const {
    return figures_top() + view_.size.y() + kCaptions_px + find_strip_plots_height(result_, risk()) + kLegend_px +
           kCautions_px + 24.0;
  }
  [[nodiscard]] const std::string& name() const { return result_.name; }

  void draw(Canvas& canvas) const {
    draw_heading(canvas);
    for (std::size_t i = 0; i < chosen_.size(); ++i) draw_figure(canvas, i);
    double y = figures_top() + view_.size.y() + kCaptions_px;
    draw_strip_plots(canvas, result_, risk(), {kMargin_px, y}, kWidth_px - 2.0 * kMargin_px);
    y += find_strip_plots_height(result_, risk()) + 16.0;
    draw_legend(canvas, y);
    y += kLegend_px;
    canvas.line({kMargin_px, y}, {kWidth_px - kMargin_px, y}, {.stroke = "#cbd2d9"});
    draw_cautions(canvas, {kMargin_px, y + 19.0});
  }

 private:
  [[nodiscard]] const move::MoveRisk* risk() const { return risk_ ? &*risk_ : nullptr; }
  [[nodiscard]] double figures_top() const { return 82.0 + 19.0 * static_cast<double>(verdict_.size()); }

  /// All figures show the same piece of the wall at the same scale.
  void fit_views() {
    figure::Box box;
    for (const int frame : chosen_) {
      const auto include = [&box](const Vec3& p_W, double radius_m) {
        box.lower = box.lower.cwiseMin(p_W - Vec3::Constant(radius_m));
        box.upper = box.upper.cwiseMax(p_W + Vec3::Constant(radius_m));
      };
      for (const figure::Tube& tube : move_figure_.tubes) {
        if (tube.frame != frame) continue;
        include(tube.pA_W, tube.radius_A);
        include(tube.pB_W, tube.radius_B);
      }
      for (const figure::Arrow& arrow : move_figure_.arrows) {
        if (arrow.frame == frame) include(arrow.p_W + arrow.vector_W, 0.02);
      }
      for (const figure::Ball& ball : move_figure_.balls) {
        if (ball.frame == frame || ball.role == figure::Role::kTarget) include(ball.p_W, ball.radius_m);
      }
    }
    if (chosen_.empty()) {
      view_.size = {0.0, 0.0};
      return;
    }
    box.lower -= Vec3(0.0, 0.06, 0.06);
    box.upper += Vec3(0.0, 0.14, 0.08);
    const double n = static_cast<double>(std::max<std::size_t>(chosen_.size(), 5));
    const double width = (kWidth_px - 2.0 * kMargin_px - (n - 1.0) * kFigureGap_px) / n;
    const Vec3 extent = box.upper - box.lower;
    view_.horizontal = 1;
    view_.px_per_m = std::min(width / extent.y(), kMostFigureHeight_px / extent.z());
    view_.size = {width, extent.z() * view_.px_per_m};
    const double spare_m = width / view_.px_per_m - extent.y();
    view_.lower_m = {box.lower.y() - 0.5 * spare_m, box.lower.z()};
  }

  void draw_heading(Canvas& canvas) const {
    canvas.text({kMargin_px, 40.0}, result_.name, {.size_px = 22.0, .bold = true});
    canvas.text({kWidth_px - kMargin_px, 40.0}, scene_.name, {.size_px = 14.0, .fill = kMuted, .anchor = "end"});
    canvas.text({kWidth_px - kMargin_px, 59.0}, describe_climber(scene_, body_),
                {.size_px = kText_px, .fill = kMuted, .anchor = "end"});
    double y = 84.0;
    for (const std::string& line : verdict_) {
      canvas.text({kMargin_px, y}, line, {.size_px = kText_px + 1.0});
      y += 19.0;
    }
  }

  void draw_figure(Canvas& canvas, std::size_t i) const {
    View view = view_;
    view.corner = {kMargin_px + static_cast<double>(i) * (view.size.x() + kFigureGap_px), figures_top()};
    const int index = chosen_[i];
    const move::Frame& frame = result_.frames[static_cast<std::size_t>(index)];
    canvas.rectangle(view.corner, view.size, 0.0, {.stroke = "#e4e8ec"});
    draw_small_view(view, scene_figure_, move_figure_, index, canvas);
    const double middle = view.corner.x() + 0.5 * view.size.x();
    const double y = view.corner.y() + view.size.y();
    canvas.text({middle, y + 17.0}, fmt::format("{}, t {:.2f}", move::name_of(frame.phase), frame.t),
                {.size_px = kText_px - 1.0, .anchor = "middle", .bold = index == result_.deciding_frame});
    canvas.text({middle, y + 33.0}, describe(frame),
                {.size_px = kText_px - 1.0, .fill = frame.is_held ? kMuted : kInk, .anchor = "middle"});
  }

  [[nodiscard]] static std::string describe(const move::Frame& frame) {
    if (!frame.has_posture) return "contacts not met";
    if (!std::isfinite(frame.effort)) return "no balance";
    return "effort " + show_percent(frame.effort);
  }

  void draw_legend(Canvas& canvas, double top) const {
    constexpr double kScale_px = 260.0;
    const TextStyle text{.size_px = kText_px - 1.0, .fill = "#323f4b"};
    double x = kMargin_px;
    for (const Limb limb : kLimbs) {
      canvas.line({x, top}, {x + 40.0, top}, limb_line(limb));
      canvas.text({x + 48.0, top + 4.0}, fmt::format("{} {}", short_name(limb), long_name(limb)), text);
      x += 48.0 + estimate_text_width(long_name(limb), kText_px) + 44.0;
    }
    if (view_.px_per_m > 0.0 && !chosen_.empty()) {
      const double bar_px = 0.5 * view_.px_per_m;
      const double y = top + 26.0;
      canvas.line({kMargin_px, y}, {kMargin_px + bar_px, y}, {.stroke = kInk, .width_px = 2.0});
      for (const double end : {kMargin_px, kMargin_px + bar_px})
        canvas.line({end, y - 5.0}, {end, y + 5.0}, {.stroke = kInk, .width_px = 2.0});
      canvas.text({kMargin_px + bar_px + 10.0, y + 4.0},
                  "0.5 m; from the side, wall at the right; line: path of the centre of mass; dashed circle: target",
                  text);
    }
    canvas.text({kWidth_px - kMargin_px, top + 4.0},
                "arrow: force of the hold on the climber; colour: share of its capacity",
                {.size_px = kText_px - 1.0, .fill = "#323f4b", .anchor = "end"});
    draw_use_scale(canvas, {kWidth_px - kMargin_px - kScale_px - 52.0, top + 13.0}, kScale_px);
  }

  move::Scene scene_;
  body::Body body_;
  move::MoveResult result_;
  std::optional<move::MoveRisk> risk_;
  figure::Figure scene_figure_, move_figure_;
  std::vector<int> chosen_;
  std::vector<std::string> verdict_;
  View view_;
};

}  // namespace

Drawing make_strip(const move::Scene& scene, const body::Body& body, const move::MoveResult& result,
                   const MoveExtras& extras) {
  const auto strip = std::make_shared<const Strip>(scene, body, result, extras.risk);
  return {strip->name(), {kWidth_px, strip->height_px()}, [strip](Canvas& canvas) { strip->draw(canvas); }};
}

}  // namespace steepwright::io
