#include "engine/core/units.h"
#include "engine/io/captions.h"
#include "engine/io/quantities.h"
#include "engine/io/study_marks.h"
#include "engine/io/study_seek.h"
#include "engine/io/svg_canvas.h"
#include "engine/io/wall_faces.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>
#include <set>

namespace steepwright::io {

namespace {

constexpr double kMargin_px = 56.0, kTop_px = 84.0;
constexpr double kList_px = 420.0;  ///< width of the list beside the wall
constexpr double kIndent_px = 30.0;
constexpr double kLine_px = 16.0;
constexpr double kMark_px = 9.0;  ///< radius of a numbered place

class SeekPicture {
 public:
  explicit SeekPicture(const SeekReport& report)
      : report_(report), faces_(report.scene->wall, {kMargin_px, kTop_px}), lines_(make_list()) {
    for (const study::SeekAxis& axis : report.question.axes) {
      if (axis.knob.is_of_hold()) sought_.insert(axis.knob.index);
    }
  }

  [[nodiscard]] Vec2 size_px() const {
    return {find_list_x() + kList_px, find_bottom() + find_cautions_height() + 8.0};
  }

  void draw(Canvas& canvas) const {
    draw_heading(canvas);
    faces_.draw(canvas);
    for (int s = 0; s < static_cast<int>(report_.scene->wall.strips.size()); ++s) faces_.draw_tnuts(canvas, s);
    for (const int hold : sought_) draw_bounds(canvas, hold);
    for (int hold = 0; hold < static_cast<int>(report_.scene->holds.size()); ++hold) draw_hold(canvas, hold);
    // The best one on top.
    for (std::size_t k = report_.best.size(); k-- > 0;) {
      for (const int hold : sought_) draw_place(canvas, k, hold);
    }
    draw_list(canvas);
    draw_cautions(canvas, {kMargin_px, find_bottom()});
  }

 private:
  struct Line {
    std::string text;
    std::size_t place = 0;  ///< index into best, for its first line
    bool is_first = false;
  };

  [[nodiscard]] double find_list_x() const { return faces_.end().x() + 16.0; }
  [[nodiscard]] double find_list_end() const {
    return kTop_px + 150.0 + kLine_px * static_cast<double>(lines_.size()) +
           8.0 * static_cast<double>(report_.best.size());
  }
  [[nodiscard]] double find_bottom() const { return std::max(faces_.end().y() + 24.0, find_list_end() + 12.0); }

  void draw_heading(Canvas& canvas) const {
    const study::SeekQuestion& question = report_.question;
    canvas.text({kMargin_px, 28.0},
                fmt::format("Where {} {}", describe_moves(*report_.scene), describe_reached(report_)),
                {.size_px = 17.0, .bold = true});
    std::string wish = report_.scene->name;
    for (const move::Climber& other : question.also)
      wish += fmt::format("; held at {:.2f} m too", other.measures.stature_m);
    canvas.text({kMargin_px, 48.0}, wish, {.fill = kFaint});
  }

  [[nodiscard]] std::vector<Line> make_list() const {
    std::vector<Line> lines;
    for (std::size_t k = 0; k < report_.best.size(); ++k) {
      const SeekRow& row = report_.best[k];
      std::string head = std::isfinite(row.effort) ? "effort " + show_percent(row.effort) : "no posture or balance";
      if (!row.is_held) head += ", does not hold";
      if (row.is_on_tnut) head += ", on a T-nut";
      lines.push_back({head, k, true});
      for (const std::string& text : {describe_values(report_, row), "binds: " + row.binds}) {
        for (const std::string& line : wrap_text(text, 12.0, kList_px - kIndent_px - 20.0)) lines.push_back({line});
      }
    }
    return lines;
  }

  void draw_list(Canvas& canvas) const {
    Vec2 place(find_list_x(), kTop_px + 6.0);
    canvas.text(place, report_.best.empty() ? "Nothing was found" : "The best places that were found", {.bold = true});
    place.y() += 8.0;
    for (const Line& line : lines_) {
      place.y() += kLine_px + (line.is_first ? 8.0 : 0.0);
      if (line.is_first) draw_number(canvas, place + Vec2(kMark_px, -4.0), line.place);
      canvas.text(place + Vec2(kIndent_px, 0.0), line.text,
                  {.size_px = line.is_first ? 13.0 : 12.0, .bold = line.is_first});
    }
    place.y() += 26.0;
    canvas.rectangle(place + Vec2(kMark_px - 5.0, -9.0), {10.0, 10.0}, 2.0,
                     {.stroke = kInk, .width_px = 1.2, .fill = "#ffffff", .dash = "2.5 2"});
    canvas.text(place + Vec2(kIndent_px, 0.0), "where a hold is now that was moved", {.size_px = 11.0, .fill = kFaint});
    place.y() += kLine_px;
    canvas.line(place + Vec2(0.0, -4.0), place + Vec2(18.0, -4.0), {.stroke = kFaint, .dash = "5 4"});
    canvas.text(place + Vec2(kIndent_px, 0.0), "where it was sought", {.size_px = 11.0, .fill = kFaint});
    place.y() += 26.0;
    canvas.text(place, "Colour of a place: its effort", {.size_px = 11.0, .fill = kFaint});
    draw_use_scale(canvas, place + Vec2(0.0, 8.0), 180.0);
  }

  void draw_number(Canvas& canvas, const Vec2& at, std::size_t k) const {
    const SeekRow& row = report_.best[k];
    const std::string fill = row.is_held ? use_colour(row.effort) : "#ffffff";
    canvas.circle(at, kMark_px, {.stroke = kInk, .width_px = 1.4, .fill = fill});
    canvas.text(at + Vec2(0.0, 4.0), std::to_string(k + 1),
                {.size_px = 12.0, .fill = kInk, .anchor = "middle", .bold = true, .halo = row.is_held});
  }

  [[nodiscard]] const move::PlacedHold& hold(int index) const {
    return report_.scene->holds[static_cast<std::size_t>(index)];
  }

  void draw_hold(Canvas& canvas, int index) const {
    const move::PlacedHold& placed = hold(index);
    const bool is_sought = sought_.contains(index);
    const Vec2 place = faces_.at(placed.strip, placed.across_m, placed.up_m);
    canvas.rectangle(place - Vec2(5.0, 5.0), {10.0, 10.0}, 2.0,
                     {.stroke = kInk, .width_px = 1.2, .fill = "#ffffff", .dash = is_sought ? "2.5 2" : ""});
    const double aside_px = is_sought ? kMark_px + 5.0 : 9.0;
    const double right_px = estimate_text_width(placed.name, 10.0) + place.x() + aside_px;
    const bool is_left = right_px > faces_.end().x() - 20.0;
    canvas.text(place + Vec2(is_left ? -aside_px : aside_px, 4.0), placed.name,
                {.size_px = 10.0, .fill = kFaint, .anchor = is_left ? "end" : "start", .halo = true});
  }

  /// Where the axes of a hold's place let it go: a rectangle, or a line where one is given.
  void draw_bounds(Canvas& canvas, int index) const {
    const move::PlacedHold& placed = hold(index);
    double lower[2] = {placed.across_m, placed.up_m};
    double upper[2] = {placed.across_m, placed.up_m};
    for (const study::SeekAxis& axis : report_.question.axes) {
      const std::optional<std::size_t> side = find_side(axis, index);
      if (!side) continue;
      lower[*side] = m_from_mm(axis.lower);
      upper[*side] = m_from_mm(axis.upper);
    }
    const Vec2 corner = faces_.at(placed.strip, lower[0], upper[1]);
    const Vec2 size = faces_.at(placed.strip, upper[0], lower[1]) - corner;
    if (size.norm() < 1.0) return;
    canvas.rectangle(corner, size, 0.0, {.stroke = kFaint, .width_px = 1.0, .dash = "5 4"});
  }

  /// 0 for an axis of the hold's place across, 1 up.
  [[nodiscard]] static std::optional<std::size_t> find_side(const study::SeekAxis& axis, int index) {
    if (axis.knob.index != index) return std::nullopt;
    if (axis.knob.kind == study::KnobKind::kAcross) return 0;
    if (axis.knob.kind == study::KnobKind::kUp) return 1;
    return std::nullopt;
  }

  void draw_place(Canvas& canvas, std::size_t k, int index) const {
    const move::PlacedHold& placed = hold(index);
    double place[2] = {placed.across_m, placed.up_m};
    for (std::size_t a = 0; a < report_.question.axes.size(); ++a) {
      if (const auto side = find_side(report_.question.axes[a], index))
        place[*side] = m_from_mm(report_.best[k].values[a]);
    }
    draw_number(canvas, faces_.at(placed.strip, place[0], place[1]), k);
  }

  const SeekReport& report_;
  WallFaces faces_;
  std::vector<Line> lines_;
  std::set<int> sought_;  ///< holds with an axis
};

}  // namespace

std::string describe_values(const SeekReport& report, const SeekRow& row) {
  const auto& axes = report.question.axes;
  const bool has_one_hold = std::all_of(axes.begin(), axes.end(), [&axes](const study::SeekAxis& axis) {
    return axis.knob.is_of_hold() && axis.knob.index == axes.front().knob.index;
  });
  std::string text;
  if (has_one_hold)
    text = fmt::format("'{}' ", report.scene->holds[static_cast<std::size_t>(axes.front().knob.index)].name);
  for (std::size_t k = 0; k < axes.size(); ++k) {
    const study::Knob& knob = axes[k].knob;
    const std::string name =
        has_one_hold ? std::string(study::name_of(knob.kind)) : study::describe(*report.scene, knob);
    text += fmt::format("{}{} {:g} {}", k == 0 ? "" : ", ", name, 0.1 * std::round(10.0 * row.values[k]),
                        study::unit_of(knob.kind));
  }
  return text;
}

Drawing make_seek_picture(const SeekReport& report) {
  const auto picture = std::make_shared<const SeekPicture>(report);
  return {"Goal seek: " + report.scene->name, picture->size_px(), [picture](Canvas& canvas) { picture->draw(canvas); }};
}

}  // namespace steepwright::io
