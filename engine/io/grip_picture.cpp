#include "engine/io/grip_picture.h"

#include "engine/core/units.h"
#include "engine/io/captions.h"
#include "engine/io/grip_plot.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace steepwright::io {

namespace {

constexpr double kWidth_px = 1040.0;
constexpr double kHeight_px = 660.0;
constexpr double kMargin_px = 28.0;
constexpr double kOutlineWidth_px = 340.0;
constexpr double kTop_px = 108.0;
constexpr double kBottom_px = 84.0;

constexpr const char* kSolid = "#e3e6e9";

std::string show_mm(double length_m) { return fmt::format("{:.3g}", mm_from_m(length_m)); }

/// The section of the hold's body in the site's plane, m, x into the wall and y up (view_from_site).
class OutlineView {
 public:
  OutlineView(const GripReport& report, const Vec2& corner, const Vec2& size);
  void draw(Canvas& canvas) const;

 private:
  [[nodiscard]] Vec2 to_px(const Vec2& p) const { return {origin_.x() + scale_ * p.x(), origin_.y() - scale_ * p.y()}; }
  void add_lip(const hold::Site& site);
  void close_body(const hold::Site& site);
  void draw_scale_bar(Canvas& canvas) const;

  std::vector<Vec2> body_;  ///< closed by the panel at its right
  double back_x_ = 0.0;     ///< face behind the floor
  Vec2 corner_, size_;
  Vec2 origin_ = Vec2::Zero();
  double scale_ = 1.0;  ///< px per m
};

/// How much of the front face, of the face behind the floor and of the material around is drawn, m.
constexpr double kFront_m = 0.030;
constexpr double kRise_m = 0.016;
constexpr double kBehind_m = 0.012;

OutlineView::OutlineView(const GripReport& report, const Vec2& corner, const Vec2& size)
    : corner_(corner), size_(size) {
  const hold::Site& site = report.survey.site;
  add_lip(site);
  close_body(site);
  Vec2 lower = body_.front();
  Vec2 upper = body_.front();
  for (const Vec2& p : body_) {
    lower = lower.cwiseMin(p);
    upper = upper.cwiseMax(p);
  }
  const Vec2 extent = upper - lower;
  scale_ = std::min(size.x() / extent.x(), size.y() / extent.y());
  const Vec2 middle = 0.5 * (lower + upper);
  origin_ = corner + 0.5 * size + Vec2(-scale_ * middle.x(), scale_ * middle.y());
}

void OutlineView::add_lip(const hold::Site& site) {
  const hold::Outline outline = hold::make_outline(site);
  // From below: the front face, parallel to the panel, then the rounding from its tangent there to the floor.
  constexpr int kSteps = 24;
  const double turn = outline.front_lean;
  const Vec2 centre(outline.floor_start, -site.lip_radius_m);  // in S: y, z
  // A rounding that takes the whole floor ends at the face behind it.
  const double reach = outline.floor_start > site.depth_m && site.lip_radius_m > 0.0
                           ? std::asin(std::min(1.0, (outline.floor_start - site.depth_m) / site.lip_radius_m))
                           : 0.0;
  std::vector<Vec2> arc;
  for (int i = 0; i <= kSteps; ++i) {
    const double lean = turn + (reach - turn) * i / kSteps;
    const Vec2 in_S = centre + site.lip_radius_m * Vec2(-std::sin(lean), std::cos(lean));
    arc.push_back(view_from_site(in_S, site.incut));
  }
  const double depth_m = std::max({kFront_m, 0.5 * site.depth_m, site.lip_radius_m});
  const Vec2 floor_end = view_from_site({site.depth_m, 0.0}, site.incut);
  const double lowest = std::min(arc.front().y(), floor_end.y()) - depth_m;
  body_.emplace_back(arc.front().x(), lowest);
  body_.insert(body_.end(), arc.begin(), arc.end());
  if (reach == 0.0) body_.push_back(floor_end);
}

void OutlineView::close_body(const hold::Site& site) {
  back_x_ = body_.back().x();
  const double lowest = body_.front().y();
  if (site.mouth_m > 0.0) {
    // The roof lies over the floor along it, from the face behind to the front face; the body goes on above.
    const auto roof_at = [&site](double x) {
      const double y = (x - site.mouth_m * std::sin(site.incut)) / std::cos(site.incut);
      return view_from_site({y, site.mouth_m}, site.incut);
    };
    const Vec2 inner = roof_at(back_x_);
    const Vec2 outer = roof_at(body_.front().x());
    body_.push_back(inner);
    body_.push_back(outer);
    const double top = std::max(inner.y(), outer.y()) + kRise_m;
    body_.emplace_back(outer.x(), top);
    body_.emplace_back(back_x_ + kBehind_m, top);
  } else {
    const double top = body_.back().y() + kRise_m;
    body_.emplace_back(back_x_, top);
    body_.emplace_back(back_x_ + kBehind_m, top);
  }
  body_.emplace_back(back_x_ + kBehind_m, lowest);
}

void OutlineView::draw_scale_bar(Canvas& canvas) const {
  const double length_m = scale_ * 0.05 < 0.6 * size_.x() ? 0.05 : 0.01;
  const Vec2 start(corner_.x(), corner_.y() + size_.y() + 34.0);
  const Vec2 end = start + Vec2(scale_ * length_m, 0.0);
  canvas.line(start, end, {.stroke = kInk, .width_px = 2.0});
  for (const Vec2& tick : {start, end})
    canvas.line(tick - Vec2(0.0, 5.0), tick + Vec2(0.0, 5.0), {.stroke = kInk, .width_px = 2.0});
  canvas.text(end + Vec2(10.0, 4.5), fmt::format("{:.0f} mm", mm_from_m(length_m)), {});
}

void OutlineView::draw(Canvas& canvas) const {
  std::vector<Vec2> points;
  for (const Vec2& p : body_) points.push_back(to_px(p));
  canvas.polygon(points, {.fill = kSolid});
  // The cut through the material at the right and below is no face.
  const std::size_t n_cut = 2;
  points.resize(points.size() - n_cut);
  canvas.polyline(points, {.stroke = kInk, .width_px = 2.2});
  draw_scale_bar(canvas);
}

void draw_heading(Canvas& canvas, const GripReport& report) {
  const grip::Survey& survey = report.survey;
  const hold::Site& site = survey.site;
  canvas.text({kMargin_px, 36.0}, fmt::format("{}, {}", report.hold, site.name), {.size_px = 20.0, .bold = true});
  const std::string mouth = site.mouth_m > 0.0 ? fmt::format(", mouth {} mm", show_mm(site.mouth_m)) : "";
  canvas.text({kMargin_px, 59.0},
              fmt::format("{} mm deep, incut {:.3g} deg, lip radius {} mm{}, {} mm wide; {}, mu {:.2f} +/- {:.2f}",
                          show_mm(site.depth_m), deg_from_rad(site.incut), show_mm(site.lip_radius_m), mouth,
                          show_mm(site.width_m), hold::name_of(site.surface), survey.friction.hand_mu,
                          survey.friction.hand_mu_sd),
              {});
  const grip::FingerStrength& strength = report.hand.strength;
  canvas.text(
      {kMargin_px, 79.0},
      fmt::format("{}: {:.0f} N on a {} mm edge in {} ({}); forearm {:.0f} deg", report.climber, strength.edge_force_N,
                  show_mm(strength.edge_depth_m), name_of(strength.edge_grip),
                  strength.is_measured ? "measured" : "default for the ability", deg_from_rad(survey.forearm_swing)),
      {});
}

void draw_page(Canvas& canvas, const GripReport& report) {
  draw_heading(canvas, report);
  const Vec2 corner(kMargin_px, kTop_px + 26.0);
  const double height_px = kHeight_px - kTop_px - kBottom_px;
  canvas.text({kMargin_px, kTop_px + 8.0}, "outline square to the lip, true to scale", {.bold = true});
  OutlineView(report, corner, {kOutlineWidth_px, height_px - 84.0}).draw(canvas);
  const Vec2 plot_corner(kMargin_px + kOutlineWidth_px + 44.0, kTop_px);
  draw_grip_plot(canvas, report.survey, plot_corner, {kWidth_px - kMargin_px - plot_corner.x(), height_px});
  const auto& judgement = report.survey.judgement;
  const std::string forced = judgement.forced
                                 ? fmt::format("forces {}: {}", name_of(*judgement.forced), judgement.forced_reason)
                                 : "forces no grip";
  canvas.text({plot_corner.x(), kTop_px + height_px + 8.0}, forced, {});
  draw_cautions(canvas, {kMargin_px, kHeight_px - 46.0});
}

}  // namespace

Drawing make_grip_picture(const GripReport& report) {
  return {fmt::format("{}, {}: force by grip and pull", report.hold, report.survey.site.name),
          {kWidth_px, kHeight_px},
          [report](Canvas& canvas) { draw_page(canvas, report); }};
}

}  // namespace steepwright::io
