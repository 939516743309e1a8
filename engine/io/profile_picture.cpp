#include "engine/io/profile_picture.h"

#include "engine/core/units.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace steepwright::io {

namespace {

using hold::LipFit;
using hold::MeasuredSite;

// px
constexpr double kCellWidth = 640.0;
constexpr double kCellHeight = 430.0;
constexpr double kHeader = 50.0;
constexpr double kPlotLeft = 20.0;
constexpr double kPlotTop = 44.0;
constexpr double kPlotWidth = 410.0;
constexpr double kPlotHeight = 300.0;
constexpr double kListLeft = 450.0;
constexpr double kLineStep = 24.0;

constexpr const char* kFaint = "#8a96a3";
constexpr const char* kBody = "#e6dccb";
constexpr const char* kFront = "#5b4a9c";
constexpr const char* kFloor = "#0b6e75";
constexpr const char* kArc = "#b3541e";
constexpr const char* kRoof = "#7a2f5c";

/// Millimetres to a tenth, angles to a tenth of a degree.
std::string show_mm(double length_m) { return fmt::format("{:.1f} mm", mm_from_m(length_m)); }
std::string show_deg(double angle) {
  const double rounded = std::round(10.0 * deg_from_rad(angle)) / 10.0;
  return fmt::format("{:.1f}°", rounded == 0.0 ? 0.0 : rounded);
}

/// Section (q up, z to the right) to px of one cell.
class SectionView {
 public:
  SectionView(const MeasuredSite& measured, const Vec2& corner) : corner_(corner) {
    const LipFit& fit = measured.profile;
    Vec2 lower = fit.lip;
    Vec2 upper = fit.lip;
    const auto take = [&](const Vec2& p) {
      lower = lower.cwiseMin(p);
      upper = upper.cwiseMax(p);
    };
    take(fit.floor_end);
    const double least_m = 0.35 * fit.depth_m;
    take(fit.lip - Vec2(fit.radius_m + least_m, 0.0));
    take(fit.lip + Vec2(std::max(fit.mouth_m, least_m), 0.1 * fit.depth_m));
    take(fit.floor_end + Vec2(std::max(fit.mouth_m, least_m), 0.0));
    take({fit.lip.x(), std::max(0.0, std::min(fit.floor_end.y(), fit.lip.y() - 2.0 * fit.depth_m))});
    const Vec2 size = upper - lower;
    scale_ = 0.86 * std::min(kPlotHeight / size.x(), kPlotWidth / size.y());
    middle_ = 0.5 * (lower + upper);
  }

  [[nodiscard]] Vec2 at(const Vec2& p) const {
    const Vec2 centre = corner_ + Vec2(kPlotLeft + 0.5 * kPlotWidth, kPlotTop + 0.5 * kPlotHeight);
    return centre + scale_ * Vec2(p.y() - middle_.y(), middle_.x() - p.x());
  }
  /// A direction of the section on the page.
  [[nodiscard]] static Vec2 turn(const Vec2& direction) { return {direction.y(), -direction.x()}; }
  [[nodiscard]] double scale() const { return scale_; }
  [[nodiscard]] Vec2 corner() const { return corner_; }
  [[nodiscard]] bool shows(const Vec2& px) const {
    const Vec2 p = px - corner_ - Vec2(kPlotLeft, kPlotTop);
    return p.x() >= 0.0 && p.y() >= 0.0 && p.x() <= kPlotWidth && p.y() <= kPlotHeight;
  }

 private:
  Vec2 corner_, middle_ = Vec2::Zero();
  double scale_ = 1.0;
};

void draw_tick(Canvas& canvas, const Vec2& at, const Vec2& along, const char* colour) {
  const Vec2 across = Vec2(along.y(), -along.x()) + along;
  canvas.line(at - 4.0 * across, at + 4.0 * across, {.stroke = colour, .width_px = 1.6});
}

/// A dimension line between two points with slashes at its ends; the label stands beside its middle.
void draw_dimension(Canvas& canvas, const Vec2& a, const Vec2& b, const std::string& label, const char* colour,
                    const Vec2& label_shift, const char* anchor = "middle") {
  const Vec2 along = (b - a).normalized();
  canvas.line(a, b, {.stroke = colour, .width_px = 1.4});
  draw_tick(canvas, a, along, colour);
  draw_tick(canvas, b, along, colour);
  canvas.text(0.5 * (a + b) + label_shift, label,
              {.size_px = 14.0, .fill = colour, .anchor = anchor, .bold = true, .halo = true});
}

/// The section as filled body; the panel closes it.
void draw_body(Canvas& canvas, const MeasuredSite& measured, const SectionView& view) {
  for (const hold::CutLine& line : measured.section.lines) {
    std::vector<Vec2> points;
    for (const Vec2& p : line.points) points.push_back(view.at(p));
    canvas.polygon(points, {.fill = kBody});
    canvas.polyline(points, {.stroke = kInk, .width_px = 1.6});
  }
  const Vec2 panel = view.at({0.0, 0.0});
  const Vec2 corner = view.corner();
  canvas.rectangle({corner.x() - 10.0, corner.y()}, {std::max(0.0, panel.x() - corner.x() + 10.0), kCellHeight}, 0.0,
                   {.fill = "#c3ccd4"});
}

void draw_fit(Canvas& canvas, const LipFit& fit, const SectionView& view) {
  const double turn = fit.floor_facing - fit.front_facing;
  const double tangent_m = fit.radius_m * std::tan(0.5 * turn);
  const Vec2 along_front(std::cos(fit.front_facing), -std::sin(fit.front_facing));
  const Vec2 front_start = fit.lip - std::max(1.6 * tangent_m, 0.3 * fit.depth_m) * along_front;
  const Paint dashed = {.stroke = kFaint, .width_px = 1.2, .dash = "5 4"};
  canvas.line(view.at(fit.lip - tangent_m * along_front), view.at(fit.lip), dashed);
  canvas.line(view.at(fit.lip), view.at(fit.lip + std::min(tangent_m, fit.depth_m) * fit.floor_direction()), dashed);
  canvas.line(view.at(front_start), view.at(fit.lip - tangent_m * along_front), {.stroke = kFront, .width_px = 3.0});
  if (fit.depth_m > tangent_m) {
    canvas.line(view.at(fit.lip + tangent_m * fit.floor_direction()), view.at(fit.floor_end),
                {.stroke = kFloor, .width_px = 3.0});
  }
  std::vector<Vec2> arc;
  constexpr int kChords = 40;
  for (int i = 0; i <= kChords; ++i) {
    const double facing = fit.front_facing + turn * i / kChords;
    arc.push_back(view.at(fit.arc_centre + fit.radius_m * Vec2(std::sin(facing), std::cos(facing))));
  }
  canvas.polyline(arc, {.stroke = kArc, .width_px = 3.0});
}

/// Floor depth inside the body, along the floor.
void draw_depth(Canvas& canvas, const LipFit& fit, const SectionView& view) {
  constexpr double kOffset = 26.0;
  const Vec2 inward = -SectionView::turn(fit.floor_normal());
  const Vec2 a = view.at(fit.lip);
  const Vec2 b = view.at(fit.floor_end);
  const Paint thin = {.stroke = kFloor, .width_px = 0.8};
  canvas.line(a, a + (kOffset + 5.0) * inward, thin);
  canvas.line(b, b + (kOffset + 5.0) * inward, thin);
  draw_dimension(canvas, a + kOffset * inward, b + kOffset * inward, show_mm(fit.depth_m), kFloor,
                 18.0 * inward + Vec2(0.0, 5.0));
}

/// The panel's normal through the lip and the angle from it to the floor.
void draw_incut(Canvas& canvas, const LipFit& fit, const SectionView& view) {
  const Vec2 lip = view.at(fit.lip);
  const double length = std::clamp(0.7 * view.scale() * fit.depth_m, 30.0, 150.0);
  canvas.line(lip, lip - Vec2(length, 0.0), {.stroke = kInk, .width_px = 1.0, .dash = "2 3"});
  std::vector<Vec2> arc;
  constexpr int kChords = 16;
  for (int i = 0; i <= kChords; ++i) {
    const double angle = fit.incut() * i / kChords;
    arc.push_back(lip + 0.8 * length * Vec2(-std::cos(angle), std::sin(angle)));
  }
  if (std::abs(fit.incut()) > rad_from_deg(1.0)) canvas.polyline(arc, {.stroke = kInk, .width_px = 1.2});
}

void draw_mouth(Canvas& canvas, const LipFit& fit, const SectionView& view) {
  if (fit.mouth_m <= 0.0) return;
  const Vec2 from = fit.lip + 0.45 * fit.depth_m * fit.floor_direction();
  draw_dimension(canvas, view.at(from), view.at(from + fit.mouth_m * fit.floor_normal()), show_mm(fit.mouth_m), kRoof,
                 {9.0, 5.0}, "start");
}

void draw_radius(Canvas& canvas, const LipFit& fit, const SectionView& view) {
  const double facing = 0.5 * (fit.front_facing + fit.floor_facing);
  const Vec2 outward(std::sin(facing), std::cos(facing));
  const Vec2 at = view.at(fit.arc_centre + fit.radius_m * outward);
  const double reach = std::max(34.0, (view.at(fit.lip) - at).norm() + 16.0);
  const Vec2 end = at + reach * SectionView::turn(outward);
  canvas.line(at, end, {.stroke = kArc, .width_px = 1.2});
  const std::string label = fit.radius_m < 5e-5 ? "sharp" : "R " + show_mm(fit.radius_m);
  const bool is_near_edge = end.x() > view.corner().x() + kPlotLeft + kPlotWidth - 70.0;
  canvas.text(end + Vec2(is_near_edge ? 0.0 : 4.0, -4.0), label,
              {.size_px = 14.0, .fill = kArc, .anchor = is_near_edge ? "middle" : "start", .bold = true, .halo = true});
}

/// The lip over the panel, below the section.
void draw_height(Canvas& canvas, const LipFit& fit, const SectionView& view) {
  const double y = view.corner().y() + kPlotTop + kPlotHeight + 14.0;
  const Vec2 lip = view.at(fit.lip);
  const Vec2 panel = view.at({fit.lip.x(), 0.0});
  canvas.line({lip.x(), lip.y()}, {lip.x(), y + 5.0}, {.stroke = kFaint, .width_px = 0.8, .dash = "3 3"});
  const double left = std::max(panel.x(), view.corner().x() + 4.0);
  if (panel.x() >= left)
    return draw_dimension(canvas, {panel.x(), y}, {lip.x(), y}, show_mm(fit.lip.y()), kInk, {0.0, 19.0});
  // The panel lies outside the picture.
  canvas.line({left, y}, {lip.x(), y}, {.stroke = kInk, .width_px = 1.4, .dash = "8 4"});
  canvas.text({0.5 * (left + lip.x()), y + 19.0}, show_mm(fit.lip.y()) + " from the panel",
              {.size_px = 14.0, .fill = kInk, .anchor = "middle", .bold = true, .halo = true});
}

void draw_scale(Canvas& canvas, const SectionView& view) {
  constexpr std::array kLengths = {0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0};
  double length_mm = kLengths.front();
  for (const double candidate : kLengths) {
    if (m_from_mm(candidate) * view.scale() <= 130.0) length_mm = candidate;
  }
  const Vec2 start = view.corner() + Vec2(kListLeft, kPlotTop + kPlotHeight + 14.0);
  const Vec2 end = start + Vec2(m_from_mm(length_mm) * view.scale(), 0.0);
  canvas.line(start, end, {.stroke = kInk, .width_px = 3.0});
  canvas.text(start + Vec2(0.0, 19.0), fmt::format("{:g} mm", length_mm), {.size_px = 13.0});
}

std::string describe_side(const MeasuredSite& measured) {
  if (measured.turn == 0.0) return "up-slope is up";
  if (std::abs(measured.turn) > 3.0) return "down-slope is up";
  return measured.turn > 0.0 ? "the left side is up" : "the right side is up";
}

void draw_list(Canvas& canvas, const MeasuredSite& measured, const Vec2& corner) {
  const hold::Site& site = measured.site;
  double y = corner.y() + kPlotTop + 14.0;
  const auto row = [&](std::string_view text, const char* colour, double size = 14.0) {
    canvas.text({corner.x() + kListLeft, y}, text, {.size_px = size, .fill = colour});
    y += kLineStep;
  };
  row("depth " + show_mm(site.depth_m), kFloor);
  row("incut " + show_deg(site.incut), kInk);
  row("lip radius " + show_mm(site.lip_radius_m), kArc);
  row(site.mouth_m > 0.0 ? "mouth " + show_mm(site.mouth_m) : "open above", kRoof);
  row("front face " + show_deg(measured.profile.front_facing), kFront);
  row("width " + show_mm(site.width_m), kInk);
  y += 0.5 * kLineStep;
  row(fmt::format("fit {:.2f} mm", mm_from_m(measured.residual_m)), kFaint, 13.0);
  row(fmt::format("{} sections agree", measured.sections), kFaint, 13.0);
  if (!measured.profile.has_straight_floor) row("no straight floor left", kFaint, 13.0);
  if (measured.bridged > 0) row(fmt::format("{} over a gap", measured.bridged), kFaint, 13.0);
  row(describe_side(measured), kFaint, 13.0);
}

void draw_cell(Canvas& canvas, const MeasuredSite& measured, const Vec2& corner) {
  const SectionView view(measured, corner);
  const LipFit& fit = measured.profile;
  canvas.open_clip(corner + Vec2(4.0, kPlotTop - 12.0), {kListLeft - 20.0, kPlotHeight + 24.0});
  draw_body(canvas, measured, view);
  draw_fit(canvas, fit, view);
  draw_incut(canvas, fit, view);
  canvas.close_group();
  draw_depth(canvas, fit, view);
  draw_mouth(canvas, fit, view);
  draw_radius(canvas, fit, view);
  draw_height(canvas, fit, view);
  draw_scale(canvas, view);
  draw_list(canvas, measured, corner);
  canvas.text(corner + Vec2(4.0, 20.0), measured.site.name, {.size_px = 17.0, .bold = true});
}

constexpr double kMargin = 20.0;

void draw_page(Canvas& canvas, const std::vector<MeasuredSite>& sites, std::size_t columns, const std::string& title) {
  canvas.text({kMargin, 34.0}, title, {.size_px = 20.0, .bold = true});
  if (sites.empty()) canvas.text({kMargin, 90.0}, "no site was found", {.size_px = 16.0});
  for (std::size_t i = 0; i < sites.size(); ++i) {
    const std::size_t row = i / columns;
    const Vec2 cell(static_cast<double>(i % columns), static_cast<double>(row));
    draw_cell(canvas, sites[i], Vec2(kMargin, kHeader) + cell.cwiseProduct(Vec2(kCellWidth, kCellHeight)));
  }
}

}  // namespace

Drawing make_profile_picture(std::vector<MeasuredSite> sites, std::string_view title) {
  const std::size_t columns = sites.size() > 1 ? 2 : 1;
  const std::size_t rows = std::max<std::size_t>(1, (sites.size() + columns - 1) / columns);
  const Vec2 size_px(2.0 * kMargin + static_cast<double>(columns) * kCellWidth,
                     kHeader + kMargin + static_cast<double>(rows) * kCellHeight);
  return {std::string(title), size_px, [sites = std::move(sites), columns, title = std::string(title)](Canvas& canvas) {
            draw_page(canvas, sites, columns, title);
          }};
}

}  // namespace steepwright::io
