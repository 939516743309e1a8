#include "engine/io/strip_plots.h"

#include "engine/core/units.h"
#include "engine/io/plot.h"
#include "engine/io/strip_history.h"
#include "engine/io/svg_canvas.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

namespace steepwright::io {

namespace {

using Row = StripRow;

constexpr double kLabels_px = 46.0;   ///< at the left, for figures of the y axis
constexpr double kNames_px = 34.0;    ///< at the right, for the names of the limbs
constexpr double kGap_px = 70.0;      ///< between the two columns
constexpr double kHeads_px = 42.0;    ///< above, for the names of the phases
constexpr double kFoot_px = 40.0;     ///< below, for the x axis
constexpr double kBetween_px = 34.0;  ///< between rows, for their titles
constexpr double kRightShare = 0.30;  ///< of the width, for the column over the height
constexpr double kText_px = 12.0;

constexpr double kPlot_px = 125.0;  ///< height of a row

constexpr std::size_t kContactRows = 3;  ///< those of the contacts, in both columns
/// From left to right: over the move, over the height.
constexpr std::array<Row, 4> kLeftRows = {Row::kLoad, Row::kUse, Row::kMargin, Row::kFail};
constexpr std::array<Row, 4> kRightRows = {Row::kLoad, Row::kUse, Row::kMargin, Row::kPull};

std::string title_of(Row row) {
  switch (row) {
    case Row::kLoad:
      return "load, N";
    case Row::kUse:
      return "capacity used, %";
    case Row::kFail:
      return "draws that fail, %";
    case Row::kPull:
      return "pull: 0\u00B0 down along the panel, 90\u00B0 straight out";
    case Row::kMargin:
      break;
  }
  return "slip-off margin, degrees";
}

class StripPlots {
 public:
  StripPlots(Canvas& canvas, const move::MoveResult& result, const move::MoveRisk* risk, const Vec2& corner,
             double width_px)
      : canvas_(canvas), result_(result), risk_(risk) {
    const bool has_right = result.lower_hand.has_value();
    const double right_width = has_right ? kRightShare * width_px : 0.0;
    const double left_width = width_px - right_width - kLabels_px - kNames_px - (has_right ? kGap_px : 0.0);
    for (std::size_t i = 0; i < kLeftRows.size(); ++i) {
      const double top = corner.y() + kHeads_px + kBetween_px + static_cast<double>(i) * (kPlot_px + kBetween_px);
      left_[i].corner = {corner.x() + kLabels_px, top};
      left_[i].size = {left_width, kPlot_px};
      right_[i].corner = {corner.x() + width_px - right_width, top};
      right_[i].size = {right_width - 12.0, kPlot_px};
      if (i < n_left()) fit_y(i);
      left_[i].x = {0.0, 1.0};
    }
    if (!has_right) return;
    fit_heights();
    fit_pull();
  }

  void draw() {
    draw_phases();
    for (std::size_t i = 0; i < n_left(); ++i) draw_left(i);
    if (!result_.lower_hand) return;
    for (std::size_t i = 0; i < kRightRows.size(); ++i) draw_right(i);
  }

 private:
  [[nodiscard]] std::size_t n_left() const { return risk_ != nullptr ? kLeftRows.size() : kContactRows; }

  void fit_y(std::size_t i) {
    PlotRange range{0.0, kLeftRows[i] == Row::kMargin ? 20.0 : kLeftRows[i] == Row::kFail ? 10.0 : 100.0};
    if (kLeftRows[i] == Row::kFail) {
      for (const move::FrameRisk& frame : risk_->frames) range.include(100.0 * frame.fail_share);
    }
    for (const Limb limb : kLimbs) {
      for (const Piece& piece : find_pieces(result_, limb, kLeftRows[i], false)) {
        for (const Sample& sample : piece) range.include(std::clamp(sample.y, kLeast, kMost));
      }
    }
    step_[i] = find_tick_step(range.span(), 4);
    left_[i].y = right_[i].y = round_out(range, step_[i]);
  }

  void fit_heights() {
    PlotRange range{1e300, -1e300};
    for (const move::Frame& frame : result_.frames) {
      if (frame.has_posture) range.include(mm_from_m(frame.p_Wcm.z()));
    }
    if (range.lower > range.upper) range = {0.0, 100.0};
    height_step_ = find_tick_step(std::max(range.span(), 10.0), 4);
    const double pad = std::max(0.04 * range.span(), 5.0);
    range.include(range.lower - pad);
    range.include(range.upper + pad);
    for (Plot& plot : right_) plot.x = range;
  }

  void fit_pull() {
    PlotRange range{1e300, -1e300};
    for (const Piece& piece : find_pull_pieces(result_)) {
      for (const Sample& sample : piece) range.include(sample.y);
    }
    if (range.lower > range.upper) range = {0.0, 90.0};
    const double middle = 0.5 * (range.lower + range.upper);
    range.include(middle - 10.0);
    range.include(middle + 10.0);
    pull_step_ = find_tick_step(range.span(), 4);
    right_.back().y = round_out(range, pull_step_);
  }

  void draw_levels(const Plot& plot, Row row) {
    if (row == Row::kUse) plot.draw_level(canvas_, 100.0, "all that it gives");
    if (row == Row::kMargin) plot.draw_level(canvas_, 0.0, "comes off");
  }

  void draw_line(const Plot& plot, const std::vector<Piece>& pieces, const Paint& paint) {
    for (const Piece& piece : pieces) {
      std::vector<Vec2> points;
      for (const Sample& sample : piece) points.push_back(place(plot, sample));
      canvas_.polyline(points, paint);
    }
  }

  void draw_dots(const Plot& plot, const std::vector<Piece>& pieces) {
    for (const Piece& piece : pieces) {
      for (const Sample& sample : piece)
        canvas_.circle(place(plot, sample), kDot_px, {.stroke = kInk, .width_px = 0.8, .fill = use_colour(sample.use)});
    }
  }

  [[nodiscard]] static Vec2 place(const Plot& plot, const Sample& sample) {
    return plot.at(sample.x, std::clamp(sample.y, plot.y.lower, plot.y.upper));
  }

  void draw_left(std::size_t i) {
    const Plot& plot = left_[i];
    const bool is_last = i + 1 == n_left();
    plot.draw_y_ticks(canvas_, step_[i], true);
    plot.draw_x_ticks(canvas_, 0.1, is_last);
    plot.draw_border(canvas_);
    canvas_.text(plot.corner + Vec2(0.0, -8.0), title_of(kLeftRows[i]),
                 {.size_px = kText_px, .bold = true, .halo = true});
    if (is_last)
      canvas_.text(plot.corner + Vec2(0.5 * plot.size.x(), plot.size.y() + 33.0), "share of the move, t",
                   {.size_px = kText_px, .fill = kMuted, .anchor = "middle"});
    draw_levels(plot, kLeftRows[i]);
    if (result_.deciding_frame >= 0) {
      const double t = result_.frames[static_cast<std::size_t>(result_.deciding_frame)].t;
      canvas_.line(plot.at(t, plot.y.lower), plot.at(t, plot.y.upper), {.stroke = kInk, .width_px = 1.6});
    }
    if (kLeftRows[i] == Row::kFail) {
      draw_fail_shares(plot);
      return;
    }
    canvas_.open_clip(plot.corner - Vec2(4.0, 4.0), plot.size + Vec2(8.0, 8.0));
    if (kLeftRows[i] == Row::kMargin) draw_margin_band(plot);
    for (const Limb limb : kLimbs) draw_line(plot, find_pieces(result_, limb, kLeftRows[i], false), limb_line(limb));
    for (const Limb limb : kLimbs) draw_dots(plot, find_pieces(result_, limb, kLeftRows[i], false));
    canvas_.close_group();
    name_lines(i);
  }

  void draw_fail_shares(const Plot& plot) {
    std::vector<Vec2> points;
    for (std::size_t i = 0; i < std::min(result_.frames.size(), risk_->frames.size()); ++i)
      points.push_back(plot.at(result_.frames[i].t, 100.0 * risk_->frames[i].fail_share));
    canvas_.polyline(points, {.stroke = kInk, .width_px = 1.8});
    for (const Vec2& point : points) canvas_.circle(point, 2.2, {.fill = kInk});
    canvas_.text(plot.corner + Vec2(plot.size.x(), -8.0),
                 fmt::format("{:.1f} % of {} draws fail in some frame", 100.0 * risk_->fail_share, risk_->draws),
                 {.size_px = kText_px, .fill = kMuted, .anchor = "end", .halo = true});
  }

  /// What 90 % of the draws lie between, for the lower hand.
  void draw_margin_band(const Plot& plot) {
    if (risk_ == nullptr || !result_.lower_hand) return;
    std::vector<Vec2> low, high;
    const auto close = [&] {
      if (low.size() > 1) {
        low.insert(low.end(), high.rbegin(), high.rend());
        canvas_.polygon(low, {.fill = kInk, .opacity = 0.14});
      }
      low.clear();
      high.clear();
    };
    for (std::size_t i = 0; i < std::min(result_.frames.size(), risk_->frames.size()); ++i) {
      const auto& band = risk_->frames[i].slip_off_margin[index_of(*result_.lower_hand)];
      if (!band) {
        close();
        continue;
      }
      const double t = result_.frames[i].t;
      low.push_back(place(plot, {t, deg_from_rad(band->low), 0.0}));
      high.push_back(place(plot, {t, deg_from_rad(band->high), 0.0}));
    }
    close();
  }

  /// At the right end, none over another.
  void name_lines(std::size_t i) {
    struct Name {
      Limb limb;
      double y;
    };
    std::vector<Name> names;
    for (const Limb limb : kLimbs) {
      const std::vector<Piece> pieces = find_pieces(result_, limb, kLeftRows[i], false);
      if (!pieces.empty()) names.push_back({limb, place(left_[i], pieces.back().back()).y()});
    }
    std::sort(names.begin(), names.end(), [](const Name& a, const Name& b) { return a.y < b.y; });
    double lowest = left_[i].corner.y() - 2.0;
    for (Name& name : names) lowest = name.y = std::max(name.y, lowest + kText_px);
    double highest = left_[i].corner.y() + left_[i].size.y() + 4.0;
    for (auto name = names.rbegin(); name != names.rend(); ++name) {
      name->y = std::min(name->y, highest);
      highest = name->y - kText_px;
    }
    const double x = left_[i].corner.x() + left_[i].size.x() + 9.0;
    for (const Name& name : names)
      canvas_.text({x, name.y + 4.0}, short_name(name.limb),
                   {.size_px = kText_px, .bold = name.limb == result_.lower_hand});
  }

  void draw_phases() {
    const double top = left_[0].corner.y() - kBetween_px - 12.0;
    const Plot& last = left_[n_left() - 1];
    const double bottom = last.corner.y() + last.size.y();
    double taken = -1e300;  // right end of the last name on the upper line
    for (const Span& span : find_spans(result_.frames)) {
      const double from = left_[0].at(span.from, 0.0).x();
      const double to = left_[0].at(span.to, 0.0).x();
      if (span.from > 0.0) canvas_.line({from, top}, {from, bottom}, {.stroke = "#7b8794", .dash = "2 3"});
      const double width = estimate_text_width(move::name_of(span.phase), kText_px);
      const double start =
          std::clamp(0.5 * (from + to - width), left_[0].corner.x(), left_[0].corner.x() + left_[0].size.x() - width);
      const bool is_lower = start < taken + 4.0;
      canvas_.text({start, top - 2.0 + (is_lower ? kText_px + 2.0 : 0.0)}, move::name_of(span.phase),
                   {.size_px = kText_px, .halo = true});
      if (!is_lower) taken = start + width;
    }
    if (result_.deciding_frame < 0) return;
    const double t = result_.frames[static_cast<std::size_t>(result_.deciding_frame)].t;
    const double width = estimate_text_width("decides", kText_px);
    const double x = std::clamp(left_[0].at(t, 0.0).x() - 0.5 * width, left_[0].corner.x() + 90.0,
                                left_[0].corner.x() + left_[0].size.x() - width);
    canvas_.text({x, left_[0].corner.y() - 8.0}, "decides", {.size_px = kText_px, .bold = true, .halo = true});
  }

  void draw_right(std::size_t i) {
    const Plot& plot = right_[i];
    const bool is_last = i + 1 == kRightRows.size();
    plot.draw_y_ticks(canvas_, kRightRows[i] == Row::kPull ? pull_step_ : step_[i], true);
    plot.draw_x_ticks(canvas_, height_step_, is_last);
    plot.draw_border(canvas_);
    canvas_.text(plot.corner + Vec2(0.0, -8.0), title_of(kRightRows[i]), {.size_px = kText_px, .bold = true});
    if (i == 0)
      canvas_.text(plot.corner + Vec2(0.0, -kBetween_px - 14.0),
                   fmt::format("lower hand ({}) over the rise", short_name(*result_.lower_hand)),
                   {.size_px = kText_px, .bold = true});
    if (is_last)
      canvas_.text(plot.corner + Vec2(0.5 * plot.size.x(), plot.size.y() + 33.0), "height of the centre of mass, mm",
                   {.size_px = kText_px, .fill = kMuted, .anchor = "middle"});
    draw_levels(plot, kRightRows[i]);
    const std::vector<Piece> pieces = kRightRows[i] == Row::kPull
                                          ? find_pull_pieces(result_)
                                          : find_pieces(result_, *result_.lower_hand, kRightRows[i], true);
    canvas_.open_clip(plot.corner - Vec2(4.0, 4.0), plot.size + Vec2(8.0, 8.0));
    draw_line(plot, pieces, limb_line(*result_.lower_hand));
    draw_dots(plot, pieces);
    canvas_.close_group();
    if (pieces.empty()) return;
    std::vector<Vec2> taken = find_drawn(plot, pieces);
    name_end(plot, pieces.front().front(), "start", taken);
    name_end(plot, pieces.back().back(), "end", taken);
  }

  /// Points close together along the curves.
  static std::vector<Vec2> find_drawn(const Plot& plot, const std::vector<Piece>& pieces) {
    constexpr double kApart_px = 4.0;
    std::vector<Vec2> drawn;
    for (const Piece& piece : pieces) {
      for (std::size_t i = 0; i < piece.size(); ++i) {
        const Vec2 to = place(plot, piece[i]);
        const Vec2 from = i == 0 ? to : place(plot, piece[i - 1]);
        const int n = 1 + static_cast<int>((to - from).norm() / kApart_px);
        for (int k = 1; k <= n; ++k) drawn.push_back(from + static_cast<double>(k) / n * (to - from));
      }
    }
    return drawn;
  }

  /// Beside the end of a curve, where it covers least of what is drawn; `taken` grows by the name.
  void name_end(const Plot& plot, const Sample& sample, const std::string& name, std::vector<Vec2>& taken) {
    constexpr double kHeight_px = 9.0;
    const Vec2 at = place(plot, sample);
    const double width = estimate_text_width(name, kText_px);
    const double beside = 0.5 * width + 9.0;
    Vec2 best = at;
    long least = -1;
    for (const Vec2& aside :
         {Vec2(0.0, -13.0), Vec2(0.0, 13.0), Vec2(beside, 0.0), Vec2(-beside, 0.0), Vec2(beside, -13.0),
          Vec2(beside, 13.0), Vec2(-beside, -13.0), Vec2(-beside, 13.0), Vec2(0.0, -26.0), Vec2(0.0, 26.0)}) {
      const Vec2 half(0.5 * width + kDot_px, 0.5 * kHeight_px + kDot_px);
      const Vec2 middle = (at + aside).cwiseMax(plot.corner + half).cwiseMin(plot.corner + plot.size - half);
      const auto covered = std::count_if(taken.begin(), taken.end(), [&](const Vec2& point) {
        return ((point - middle).cwiseAbs().array() < half.array()).all();
      });
      if (least >= 0 && covered >= least) continue;
      least = covered;
      best = middle;
    }
    for (double x = -0.5 * width; x <= 0.5 * width; x += 4.0) taken.push_back(best + Vec2(x, 0.0));
    canvas_.text(best + Vec2(0.0, 0.5 * kHeight_px), name,
                 {.size_px = kText_px - 1.0, .anchor = "middle", .halo = true});
  }

  static constexpr double kDot_px = 3.2;
  static constexpr double kLeast = -90.0, kMost = 5000.0;  ///< values beyond do not widen a plot

  Canvas& canvas_;
  const move::MoveResult& result_;
  const move::MoveRisk* risk_;
  std::array<Plot, kLeftRows.size()> left_;
  std::array<Plot, kRightRows.size()> right_;
  std::array<double, kLeftRows.size()> step_{};
  double pull_step_ = 1.0;
  double height_step_ = 1.0;
};

}  // namespace

Paint limb_line(Limb limb) {
  switch (limb) {
    case Limb::kLeftHand:
      return {.stroke = kInk, .width_px = 2.4};
    case Limb::kRightHand:
      return {.stroke = kInk, .width_px = 2.4, .dash = "10 5"};
    case Limb::kLeftFoot:
      return {.stroke = "#66788a", .width_px = 1.4};
    case Limb::kRightFoot:
      break;
  }
  return {.stroke = "#66788a", .width_px = 1.4, .dash = "3 4"};
}

double find_strip_plots_height(const move::MoveResult& result, const move::MoveRisk* risk) {
  const bool has_fourth = risk != nullptr || result.lower_hand.has_value();
  const double rows = static_cast<double>(kContactRows + (has_fourth ? 1 : 0));
  return kHeads_px + rows * (kBetween_px + kPlot_px) + kFoot_px;
}

void draw_strip_plots(Canvas& canvas, const move::MoveResult& result, const move::MoveRisk* risk, const Vec2& corner,
                      double width_px) {
  StripPlots(canvas, result, risk, corner, width_px).draw();
}

}  // namespace steepwright::io
