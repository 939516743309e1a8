#include "engine/core/units.h"
#include "engine/io/captions.h"
#include "engine/io/plot_frame.h"
#include "engine/io/quantities.h"
#include "engine/io/study_bodies.h"
#include "engine/io/study_marks.h"
#include "engine/io/svg_canvas.h"
#include "engine/study/reach_border.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>

namespace steepwright::io {

namespace {

constexpr double kWidth_px = 860.0;
constexpr double kLegend_px = 250.0;
constexpr double kCautions_px = 640.0;  ///< from the top
constexpr double kBell_m = 0.035;       ///< width of the bell that smooths the share
constexpr double kLeastBodies = 3.0;    ///< around a place, for a share to be told there
constexpr double kContourStep_m = 0.005;

/// Of a cause as the tally names it: "reach of the left hand".
const char* letter_of_named(const std::string& named) {
  for (const move::Cause cause :
       {move::Cause::kReach, move::Cause::kClearance, move::Cause::kSlip, move::Cause::kGrip}) {
    if (named.starts_with(move::name_of(cause))) return letter_of(cause);
  }
  return letter_of(move::Cause::kStrength);
}

class BodiesPicture {
 public:
  explicit BodiesPicture(const BodiesReport& report) : report_(report) { lay_out(); }

  [[nodiscard]] static Vec2 size_px() { return {kWidth_px, kCautions_px + find_cautions_height() + 8.0}; }

  void draw(Canvas& canvas) const {
    draw_heading(canvas);
    frame_.draw(canvas);
    for (const study::BodyRow& row : report_.shown) draw_body(canvas, row);
    const std::vector<std::vector<Vec2>> contour = find_contour();
    for (const std::vector<Vec2>& line : contour) canvas.polyline(line, {.stroke = kInk, .width_px = 2.0});
    draw_legend(canvas, !contour.empty());
    draw_cautions(canvas, {80.0, kCautions_px});
  }

 private:
  void draw_heading(Canvas& canvas) const {
    const study::Share& all = report_.tally.all;
    const auto [low, high] = all.interval();
    canvas.text({80.0, 28.0}, fmt::format("{} of {} bodies hold {}", all.n_held, all.n, describe_moves(*report_.scene)),
                {.size_px = 17.0, .bold = true});
    const std::string share = report_.is_list
                                  ? show_percent(all.value())
                                  : fmt::format("{:.0f} % (95 %: {:.0f} to {:.0f} %) of an ANSUR population",
                                                100.0 * all.value(), 100.0 * low, 100.0 * high);
    canvas.text({80.0, 48.0}, report_.scene->name + "; " + share, {.fill = kFaint});
  }

  void lay_out() {
    double low_x = 1e9, high_x = 0.0, low_y = 1e9, high_y = 0.0;
    for (const study::BodyRow& row : report_.shown) {
      low_x = std::min(low_x, mm_from_m(row.stature_m));
      high_x = std::max(high_x, mm_from_m(row.stature_m));
      low_y = std::min(low_y, mm_from_m(row.span_m));
      high_y = std::max(high_y, mm_from_m(row.span_m));
    }
    const auto down = [](double v) { return 50.0 * std::floor(v / 50.0 - 0.2); };
    const auto up = [](double v) { return 50.0 * std::ceil(v / 50.0 + 0.2); };
    frame_ = {{down(low_x), up(high_x), 80.0, kWidth_px - kLegend_px},
              {down(low_y), up(high_y), 580.0, 96.0},
              "stature, mm",
              "span, mm"};
  }

  void draw_body(Canvas& canvas, const study::BodyRow& row) const {
    const Vec2 place = frame_.at(mm_from_m(row.stature_m), mm_from_m(row.span_m));
    if (row.judged.is_held) {
      canvas.circle(place, 3.4, {.stroke = kInk, .width_px = 0.5, .fill = use_colour(row.judged.effort)});
    } else {
      canvas.text(place + Vec2(0.0, 3.5), letter_of(row.judged.cause),
                  {.size_px = 11.0, .fill = kFaint, .anchor = "middle"});
    }
  }

  /// Lines where half of the bodies hold.
  [[nodiscard]] std::vector<std::vector<Vec2>> find_contour() const {
    if (report_.is_list) return {};
    const int n_x = static_cast<int>(m_from_mm(frame_.x.upper - frame_.x.lower) / kContourStep_m);
    const int n_y = static_cast<int>(m_from_mm(frame_.y.upper - frame_.y.lower) / kContourStep_m);
    std::vector<std::optional<double>> shares;
    for (int j = 0; j <= n_y; ++j) {
      for (int i = 0; i <= n_x; ++i) {
        shares.push_back(report_.tally.map.find_smooth_share(m_from_mm(frame_.x.lower) + i * kContourStep_m,
                                                             m_from_mm(frame_.y.lower) + j * kContourStep_m, kBell_m,
                                                             kLeastBodies));
      }
    }
    const auto at = [&](int i, int j) { return shares[static_cast<std::size_t>(j * (n_x + 1) + i)]; };
    std::vector<study::BorderSegment> border;
    for (int j = 0; j < n_y; ++j) {
      for (int i = 0; i < n_x; ++i) {
        const std::array<std::optional<double>, 4> corners = {at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)};
        if (!std::all_of(corners.begin(), corners.end(), [](const auto& share) { return share.has_value(); })) continue;
        study::add_border(0, i * kContourStep_m, j * kContourStep_m, kContourStep_m,
                          {*corners[0] >= 0.5, *corners[1] >= 0.5, *corners[2] >= 0.5, *corners[3] >= 0.5}, border);
      }
    }
    std::vector<std::array<Vec2, 2>> segments;
    for (const study::BorderSegment& segment : border) {
      segments.emplace_back();
      for (std::size_t end = 0; end < 2; ++end)
        segments.back()[end] =
            frame_.at(frame_.x.lower + mm_from_m(segment.across_m[end]), frame_.y.lower + mm_from_m(segment.up_m[end]));
    }
    return join_segments(segments);
  }

  void draw_legend(Canvas& canvas, bool has_contour) const {
    const double x = kWidth_px - kLegend_px + 24.0;
    double y = 100.0;
    const auto line = [&](const std::string& text, double size_px = 12.0) {
      canvas.text({x + 20.0, y}, text, {.size_px = size_px});
      y += 17.0;
    };
    canvas.text({x, y}, "Holds, at an effort of", {.bold = true});
    y += 18.0;
    for (const double effort : {0.4, 0.6, 0.8, 1.0}) {
      canvas.circle({x + 6.0, y - 4.0}, 4.5, {.stroke = kInk, .width_px = 0.5, .fill = use_colour(effort)});
      line(show_percent(effort));
    }
    y += 12.0;
    if (!report_.tally.causes.empty()) {
      canvas.text({x, y}, "Does not hold", {.bold = true});
      y += 18.0;
    }
    std::vector<std::pair<std::int64_t, std::string>> causes;
    for (const auto& [cause, n] : report_.tally.causes) causes.emplace_back(n, cause);
    std::sort(causes.rbegin(), causes.rend());
    constexpr std::size_t kMostCauses = 9;
    for (std::size_t k = 0; k < std::min(kMostCauses, causes.size()); ++k) {
      const std::string& text = causes[k].second;
      canvas.text({x + 6.0, y}, letter_of_named(text), {.size_px = 12.0, .fill = kFaint, .anchor = "middle"});
      line(fmt::format("{} {}", causes[k].first, text));
    }
    y += 12.0;
    for (const auto& [name, share] : {std::pair{"women", report_.tally.women}, std::pair{"men", report_.tally.men}}) {
      if (share.n == 0) continue;
      canvas.text({x, y}, fmt::format("{}: {:.0f} % of {} hold", name, 100.0 * share.value(), share.n),
                  {.size_px = 12.0});
      y += 17.0;
    }
    if (has_contour) {
      y += 12.0;
      canvas.line({x, y - 4.0}, {x + 14.0, y - 4.0}, {.stroke = kInk, .width_px = 2.0});
      line("half of the bodies hold");
    }
    if (report_.tally.all.n > static_cast<std::int64_t>(report_.shown.size()))
      canvas.text({x, y + 8.0}, fmt::format("the first {} bodies are drawn", report_.shown.size()),
                  {.size_px = 11.0, .fill = kFaint});
  }

  const BodiesReport& report_;
  PlotFrame frame_;
};

}  // namespace

Drawing make_bodies_picture(const BodiesReport& report) {
  const auto picture = std::make_shared<const BodiesPicture>(report);
  return {"Bodies: " + report.scene->name, BodiesPicture::size_px(),
          [picture](Canvas& canvas) { picture->draw(canvas); }};
}

}  // namespace steepwright::io
