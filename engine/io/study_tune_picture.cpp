#include "engine/io/study_tune_picture.h"

#include "engine/core/units.h"
#include "engine/io/captions.h"
#include "engine/io/plot_frame.h"
#include "engine/io/study_marks.h"
#include "engine/io/svg_canvas.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <memory>

namespace steepwright::io {

namespace {

constexpr const char* kLost = "#eef1f4";
constexpr double kWidth_px = 860.0;
constexpr double kLeft_px = 80.0;
constexpr double kRight_px = 40.0;
constexpr double kMostEffort = 2.0;  ///< of the plot, share

void draw_heading(Canvas& canvas, const TuneReport& report) {
  std::string what;
  for (const study::SweepAxis& axis : report.question.axes)
    what += (what.empty() ? "Effort over " : " and ") + study::describe(*report.scene, axis.knob);
  canvas.text({kLeft_px, 28.0}, what, {.size_px = 17.0, .bold = true});
  const std::string climber = report.scene->climber.measures.name;
  canvas.text({kLeft_px, 48.0},
              fmt::format("{}: {}; {}", report.scene->name, describe_moves(*report.scene),
                          climber.empty() ? "climber" : climber),
              {.fill = kFaint});
}

const char* mark_of(const study::SweepPoint& point) {
  return point.fault.empty() ? letter_of(point.judged.cause) : "x";
}

class LinePlot {
 public:
  static constexpr double kCautions_px = 640.0;  ///< from the top

  explicit LinePlot(const TuneReport& report) : report_(report), axis_(report.question.axes[0]) {
    const PlotScale x{axis_.lower, std::max(axis_.upper, axis_.lower + 1e-6), kLeft_px, kWidth_px - kRight_px};
    effort_ = {x, {0.0, 100.0 * find_top(), 390.0, 96.0}, "", "effort at the hardest instant, % of what is there"};
    slip_ = {x,
             {find_least_slip(), find_most_slip(), 580.0, 450.0},
             describe_axis(*report_.scene, axis_),
             "least angle of the lower hand's force to slipping, deg"};
    find_lost();
  }

  void draw(Canvas& canvas) const {
    draw_heading(canvas, report_);
    shade_lost(canvas);
    effort_.draw(canvas);
    slip_.draw(canvas);
    canvas.line(effort_.at(axis_.lower, 100.0), effort_.at(effort_.x.upper, 100.0),
                {.stroke = kInk, .width_px = 1.2, .dash = "6 4"});
    draw_curve(canvas, effort_, [](const study::SweepPoint& p) { return 100.0 * p.judged.effort; });
    draw_curve(canvas, slip_, [](const study::SweepPoint& p) {
      return p.judged.slip_margin ? deg_from_rad(*p.judged.slip_margin) : std::nan("");
    });
    draw_breaks(canvas);
    draw_cautions(canvas, {kLeft_px, kCautions_px});
  }

 private:
  [[nodiscard]] double find_top() const {
    double top = 1.1;
    for (const study::SweepPoint& point : report_.points) {
      if (std::isfinite(point.judged.effort)) top = std::max(top, std::min(kMostEffort, 1.05 * point.judged.effort));
    }
    return top;
  }
  [[nodiscard]] double find_least_slip() const {
    double least = 0.0;
    for (const study::SweepPoint& point : report_.points)
      least = std::min(least, deg_from_rad(point.judged.slip_margin.value_or(0.0)));
    return std::floor(least);
  }
  [[nodiscard]] double find_most_slip() const {
    double most = 10.0;
    for (const study::SweepPoint& point : report_.points)
      most = std::max(most, deg_from_rad(point.judged.slip_margin.value_or(0.0)));
    return std::ceil(most);
  }

  /// Where the verdict changes between two points: found, or else half way.
  [[nodiscard]] double find_change(double a, double b) const {
    for (const study::BreakPoint& point : report_.breaks) {
      if (point.value() >= std::min(a, b) && point.value() <= std::max(a, b)) return point.value();
    }
    return 0.5 * (a + b);
  }

  /// Runs of values at which the move does not hold.
  void find_lost() {
    const std::vector<study::SweepPoint>& points = report_.points;
    for (std::size_t k = 0; k < points.size();) {
      std::size_t end = k;
      while (end < points.size() && points[end].is_held() == points[k].is_held()) ++end;
      if (!points[k].is_held()) {
        const double lower = k == 0 ? points[0].values[0] : find_change(points[k - 1].values[0], points[k].values[0]);
        const double upper = end == points.size() ? points.back().values[0]
                                                  : find_change(points[end - 1].values[0], points[end].values[0]);
        const std::string cause(points[k].fault.empty() ? move::name_of(points[k].judged.cause) : "cannot be built");
        lost_.push_back({effort_.x.at(lower), effort_.x.at(upper), cause});
      }
      k = end;
    }
  }

  void shade_lost(Canvas& canvas) const {
    for (const Lost& lost : lost_) {
      for (const PlotFrame* frame : {&effort_, &slip_})
        canvas.rectangle({lost.lower_px, frame->y.upper_px},
                         {lost.upper_px - lost.lower_px, frame->y.lower_px - frame->y.upper_px}, 0.0, {.fill = kLost});
    }
  }

  template <typename Value>
  void draw_curve(Canvas& canvas, const PlotFrame& frame, const Value& value) const {
    // As wide as a point more than the frame, so that those at its ends are whole.
    const Vec2 size(frame.x.upper_px - frame.x.lower_px, frame.y.lower_px - frame.y.upper_px);
    canvas.open_clip(Vec2(frame.x.lower_px - kPoint_px, frame.y.upper_px - kPoint_px),
                     size + Vec2(2.0 * kPoint_px, 2.0 * kPoint_px));
    std::vector<Vec2> run;
    const auto end_run = [&] {
      if (run.size() > 1) canvas.polyline(run, {.stroke = kInk, .width_px = 2.0});
      if (run.size() == 1) canvas.circle(run[0], 2.0, {.fill = kInk});
      run.clear();
    };
    for (const study::SweepPoint& point : report_.points) {
      if (!point.fault.empty() || !std::isfinite(value(point))) {
        end_run();
        continue;
      }
      run.push_back(frame.at(point.values[0], value(point)));
      canvas.circle(run.back(), kPoint_px, {.fill = kInk});
    }
    end_run();
    canvas.close_group();
  }

  void draw_breaks(Canvas& canvas) const {
    for (const study::BreakPoint& point : report_.breaks) {
      const double x = effort_.x.at(point.value());
      for (const PlotFrame* frame : {&effort_, &slip_})
        canvas.line({x, frame->y.upper_px}, {x, frame->y.lower_px}, {.stroke = kInk, .width_px = 1.2, .dash = "2 3"});
      const bool is_right = x > 0.8 * kWidth_px;
      canvas.text({x + (is_right ? -5.0 : 5.0), 112.0},
                  fmt::format("{:.4g} {}", point.value(), study::unit_of(axis_.knob.kind)),
                  {.size_px = 12.0, .anchor = is_right ? "end" : "start", .halo = true});
    }
    for (const Lost& lost : lost_) {
      if (lost.upper_px - lost.lower_px < estimate_text_width(lost.cause, 12.0)) continue;
      canvas.text({0.5 * (lost.lower_px + lost.upper_px), effort_.y.lower_px - 8.0}, lost.cause,
                  {.size_px = 12.0, .fill = kFaint, .anchor = "middle", .halo = true});
    }
  }

  static constexpr double kPoint_px = 2.2;  ///< radius
  struct Lost {
    double lower_px = 0.0, upper_px = 0.0;
    std::string cause;
  };

  const TuneReport& report_;
  const study::SweepAxis& axis_;
  PlotFrame effort_, slip_;
  std::vector<Lost> lost_;
};

class FieldPlot {
 public:
  static constexpr double kCautions_px = 590.0;  ///< from the top

  explicit FieldPlot(const TuneReport& report)
      : report_(report), first_(report.question.axes[0]), second_(report.question.axes[1]) {
    const auto range = [](const study::SweepAxis& axis, double from_px, double to_px) {
      return PlotScale{axis.lower - 0.5 * axis.step, axis.value(axis.count() - 1) + 0.5 * axis.step, from_px, to_px};
    };
    frame_ = {range(first_, kLeft_px, kWidth_px - 200.0), range(second_, 520.0, 96.0),
              describe_axis(*report_.scene, first_), describe_axis(*report_.scene, second_)};
  }

  void draw(Canvas& canvas) const {
    draw_heading(canvas, report_);
    frame_.draw(canvas);
    for (const study::SweepPoint& point : report_.points) draw_cell(canvas, point);
    draw_border(canvas);
    draw_legend(canvas);
    draw_cautions(canvas, {kLeft_px, kCautions_px});
  }

 private:
  void draw_cell(Canvas& canvas, const study::SweepPoint& point) const {
    const double half_x = 0.5 * first_.step;
    const double half_y = 0.5 * second_.step;
    const Vec2 corner = frame_.at(point.values[0] - half_x, point.values[1] + half_y);
    const Vec2 end = frame_.at(point.values[0] + half_x, point.values[1] - half_y);
    canvas.rectangle(
        corner, end - corner, 0.0,
        {.stroke = "#ffffff", .width_px = 0.6, .fill = point.is_held() ? use_colour(point.judged.effort) : kLost});
    if (!point.is_held() && end.x() - corner.x() > 9.0)
      canvas.text(0.5 * (corner + end) + Vec2(0.0, 4.0), mark_of(point),
                  {.size_px = 11.0, .fill = kFaint, .anchor = "middle"});
  }

  /// Through the values where the verdict changes on the sides of each square of four points.
  void draw_border(Canvas& canvas) const {
    std::map<std::array<int, 3>, Vec2> sides;  // axis, across, up: the lower end
    for (const study::BreakPoint& point : report_.breaks) {
      const bool is_first = point.axis == 0;
      const Vec2 values = is_first ? Vec2(point.value(), point.other) : Vec2(point.other, point.value());
      const auto index = [](const study::SweepAxis& axis, double value, bool is_along) {
        const double steps = (value - axis.lower) / axis.step;
        return static_cast<int>(is_along ? std::floor(steps) : std::round(steps));
      };
      sides[{point.axis, index(first_, values.x(), is_first), index(second_, values.y(), !is_first)}] =
          frame_.at(values.x(), values.y());
    }
    for (int j = 0; j + 1 < second_.count(); ++j) {
      for (int i = 0; i + 1 < first_.count(); ++i) {
        std::vector<Vec2> ends;
        for (const std::array<int, 3>& side : {std::array{0, i, j}, {1, i, j}, {0, i, j + 1}, {1, i + 1, j}}) {
          if (const auto found = sides.find(side); found != sides.end()) ends.push_back(found->second);
        }
        for (std::size_t k = 0; k + 1 < ends.size(); k += 2)
          canvas.line(ends[k], ends[k + 1], {.stroke = kInk, .width_px = 2.2});
      }
    }
    for (const auto& [side, place] : sides) canvas.circle(place, 2.4, {.fill = kInk});
  }

  void draw_legend(Canvas& canvas) const {
    const double x = kWidth_px - 180.0;
    double y = 96.0;
    canvas.text({x, y}, "Effort", {.bold = true});
    for (int k = 0; k <= 10; ++k) {
      canvas.rectangle({x, y + 10.0}, {24.0, 15.0}, 0.0, {.fill = use_colour(0.1 * k)});
      canvas.text({x + 32.0, y + 22.0}, fmt::format("{} %", 10 * k), {.size_px = 11.5});
      y += 16.0;
    }
    y += 36.0;
    canvas.text({x, y}, "Does not hold:", {.bold = true});
    for (const auto& [letter, text] :
         {std::pair{"r", "reach"}, std::pair{"w", "wall in the way"}, std::pair{"s", "slip"},
          std::pair{"g", "grip or foothold"}, std::pair{"m", "joint strength"}, std::pair{"x", "cannot be built"}}) {
      y += 17.0;
      canvas.text({x + 6.0, y}, letter, {.size_px = 12.0, .fill = kFaint, .anchor = "middle"});
      canvas.text({x + 18.0, y}, text, {.size_px = 12.0});
    }
    y += 26.0;
    canvas.line({x, y - 4.0}, {x + 24.0, y - 4.0}, {.stroke = kInk, .width_px = 2.2});
    canvas.text({x + 32.0, y}, "verdict changes", {.size_px = 12.0});
  }

  const TuneReport& report_;
  const study::SweepAxis& first_;
  const study::SweepAxis& second_;
  PlotFrame frame_;
};

}  // namespace

std::string describe_axis(const move::Scene& scene, const study::SweepAxis& axis) {
  return fmt::format("{}, {}", study::describe(scene, axis.knob), study::unit_of(axis.knob.kind));
}

Drawing make_tune_picture(const TuneReport& report) {
  const auto make = [&report](const auto& plot) {
    return Drawing{"Sweep: " + report.scene->name,
                   {kWidth_px, plot->kCautions_px + find_cautions_height() + 8.0},
                   [plot](Canvas& canvas) { plot->draw(canvas); }};
  };
  return report.question.axes.size() == 1 ? make(std::make_shared<const LinePlot>(report))
                                          : make(std::make_shared<const FieldPlot>(report));
}

}  // namespace steepwright::io
