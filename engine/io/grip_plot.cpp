#include "engine/io/grip_plot.h"

#include "engine/core/units.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace steepwright::io {

namespace {

constexpr const char* kRing = "#c3cad1";
constexpr double kStep = rad_from_deg(1.0);
constexpr double kRingBeyond = rad_from_deg(6.0);  ///< rings go on past the friction's end by this much
constexpr double kNameColumn_px = 218.0;           ///< at the left, for the names of the grips
constexpr double kNameStep_px = 19.0;
constexpr double kTitle_px = 26.0;
constexpr double kTextSize_px = 13.0;

/// Line styles that stay apart in black and white; the strongest grip has the heaviest.
struct LineStyle {
  double width_px;
  const char* dash;
};
constexpr std::array<LineStyle, 9> kStyles = {{{3.2, ""},
                                               {2.2, "12 5"},
                                               {2.2, "2 5"},
                                               {2.2, "12 4 2 4"},
                                               {1.3, ""},
                                               {1.3, "7 4"},
                                               {1.3, "1.5 4"},
                                               {1.3, "7 3 1.5 3"},
                                               {1.3, "14 3 1.5 3 1.5 3"}}};

Paint paint_of(std::size_t i) {
  const LineStyle& style = kStyles[std::min(i, kStyles.size() - 1)];
  return {.stroke = kInk, .width_px = style.width_px, .dash = style.dash};
}

/// Largest of 1, 2, 5 times a power of ten that gives at least three rings up to `most_N`.
double find_ring_step(double most_N) {
  const double decade = std::pow(10.0, std::floor(std::log10(std::max(most_N, 1.0) / 3.0)));
  for (const double factor : {5.0, 2.0}) {
    if (most_N / (factor * decade) >= 3.0) return factor * decade;
  }
  return decade;
}

/// A grip's name in the column at the left, with a line to its curve.
struct Name {
  std::size_t style = 0;
  std::string text;
  Vec2 at;  ///< on the curve
  double y = 0.0;
};

class Plot {
 public:
  Plot(const grip::Survey& survey, const Vec2& corner, const Vec2& size);
  void draw(Canvas& canvas) const;

 private:
  [[nodiscard]] Vec2 unit_of(double pull) const;
  [[nodiscard]] Vec2 to_px(double pull, double force_N) const { return origin_ + scale_ * force_N * unit_of(pull); }
  void fit();
  void draw_arc(Canvas& canvas, double force_N, const Paint& paint) const;
  void draw_rings(Canvas& canvas) const;
  void draw_rays(Canvas& canvas) const;
  void draw_angles(Canvas& canvas) const;
  [[nodiscard]] std::vector<int> find_ticks_deg() const;
  [[nodiscard]] Vec2 find_angle_place(double pull) const;
  [[nodiscard]] std::vector<Vec2> make_curve(const grip::SurveyedGrip& grip) const;
  void draw_curves(Canvas& canvas) const;
  void spread(std::vector<Name>& names) const;

  const grip::Survey& survey_;
  Vec2 corner_, size_;
  grip::AngleRange skin_;  ///< pulls that friction of the skin holds, rad
  grip::AngleRange all_;   ///< of any grip, a pinch's too
  double ring_N_ = 0.0;
  int n_rings_ = 0;
  Vec2 origin_ = Vec2::Zero();
  double scale_ = 1.0;  ///< px per N
};

Plot::Plot(const grip::Survey& survey, const Vec2& corner, const Vec2& size)
    : survey_(survey), corner_(corner), size_(size) {
  const double half = std::atan(survey.friction.hand_mu);
  skin_ = {-survey.lean - half, -survey.lean + half};
  all_ = skin_;
  double most_N = 1.0;
  for (const grip::SurveyedGrip& grip : survey.grips) {
    const grip::AngleRange held = grip::find_held_pulls(grip.set);
    all_ = {std::min(all_.lower, held.lower), std::max(all_.upper, held.upper)};
    for (double pull = held.lower; pull <= held.upper; pull += kStep)
      most_N = std::max(most_N, grip::find_capacity_along(grip.set, pull));
  }
  ring_N_ = find_ring_step(most_N);
  n_rings_ = static_cast<int>(std::ceil(most_N / ring_N_ - 1e-9));
  fit();
}

/// Of the hand's pull on the hold, in the picture: y down.
Vec2 Plot::unit_of(double pull) const {
  const Vec2 up = view_from_site(-grip::pull_direction(pull), survey_.site.incut);
  return {up.x(), -up.y()};
}

/// The largest scale at which the rings fit between the names and the right edge.
void Plot::fit() {
  Vec2 lower = Vec2::Zero();
  Vec2 upper = Vec2::Zero();
  for (double pull = all_.lower - kRingBeyond; pull <= all_.upper + kRingBeyond; pull += kStep) {
    lower = lower.cwiseMin(unit_of(pull));
    upper = upper.cwiseMax(unit_of(pull));
  }
  // Room for the names at the left, for the angles beyond the outer ring and the forces at the rings' ends.
  const Vec2 start = corner_ + Vec2(kNameColumn_px + 20.0, kTitle_px + 30.0);
  const Vec2 room = corner_ + size_ - Vec2(56.0, 34.0) - start;
  const Vec2 extent = upper - lower;
  const double unit_px = std::min(room.x() / extent.x(), room.y() / extent.y());
  scale_ = unit_px / (ring_N_ * n_rings_);
  const Vec2 spare = room - unit_px * extent;
  origin_ = start - unit_px * lower + Vec2(0.5 * spare.x(), 0.5 * spare.y());
}

void Plot::draw_arc(Canvas& canvas, double force_N, const Paint& paint) const {
  std::vector<Vec2> points;
  const double lower = all_.lower - kRingBeyond;
  const double upper = all_.upper + kRingBeyond;
  const int n_steps = static_cast<int>(std::ceil((upper - lower) / kStep));
  for (int i = 0; i <= n_steps; ++i) points.push_back(to_px(lower + (upper - lower) * i / n_steps, force_N));
  canvas.polyline(points, paint);
}

void Plot::draw_rings(Canvas& canvas) const {
  for (int i = 1; i <= n_rings_; ++i) draw_arc(canvas, i * ring_N_, {.stroke = kRing, .width_px = 1.0});
  // At the end of the rings that points into the wall.
  for (int i = 1; i <= n_rings_; ++i) {
    const Vec2 end = to_px(all_.lower - kRingBeyond, i * ring_N_);
    canvas.text(end + Vec2(6.0, 2.0), fmt::format("{:.0f} N", i * ring_N_),
                {.size_px = 11.0, .fill = kFaint, .halo = true});
  }
}

std::vector<int> Plot::find_ticks_deg() const {
  const bool is_wide = all_.upper - all_.lower > rad_from_deg(100.0);
  std::vector<int> ticks;
  for (int pull_deg = -180; pull_deg <= 180; pull_deg += is_wide ? 30 : 10) {
    const double pull = rad_from_deg(pull_deg);
    if (pull >= all_.lower && pull <= all_.upper) ticks.push_back(pull_deg);
  }
  return ticks;
}

void Plot::draw_rays(Canvas& canvas) const {
  const double outer_N = ring_N_ * n_rings_;
  for (const int tick_deg : find_ticks_deg()) {
    const double width_px = tick_deg == 0 ? 1.6 : 0.8;
    canvas.line(origin_, to_px(rad_from_deg(tick_deg), outer_N), {.stroke = kRing, .width_px = width_px});
  }
  for (const double border : {skin_.lower, skin_.upper})
    canvas.line(origin_, to_px(border, outer_N), {.stroke = kInk, .width_px = 1.2, .dash = "5 5"});
}

/// Beyond the outer ring.
Vec2 Plot::find_angle_place(double pull) const {
  constexpr double kBeyond_px = 18.0;
  return to_px(pull, ring_N_ * n_rings_ + kBeyond_px / scale_) + Vec2(0.0, 4.0);
}

void Plot::draw_angles(Canvas& canvas) const {
  constexpr double kApart = rad_from_deg(6.0);   // nearer to a border its own angle stands
  constexpr double kLines = rad_from_deg(35.0);  // beyond it, lines run to the names, when a pinch is drawn too
  for (const int tick_deg : find_ticks_deg()) {
    const double pull = rad_from_deg(tick_deg);
    if (std::abs(pull - skin_.lower) < kApart || std::abs(pull - skin_.upper) < kApart) continue;
    if (pull > skin_.upper && pull < skin_.upper + kLines) continue;
    canvas.text(find_angle_place(pull), fmt::format("{}{}", tick_deg, tick_deg == 0 ? " deg" : ""),
                {.size_px = 11.0, .fill = kFaint, .anchor = "middle", .halo = true});
  }
  for (const double border : {skin_.lower, skin_.upper})
    canvas.text(find_angle_place(border), fmt::format("{:.0f}", deg_from_rad(border)),
                {.size_px = 11.0, .anchor = "middle", .bold = true, .halo = true});
}

std::vector<Vec2> Plot::make_curve(const grip::SurveyedGrip& grip) const {
  const grip::AngleRange held = grip::find_held_pulls(grip.set);
  std::vector<Vec2> points;
  const int n_steps = static_cast<int>(std::ceil((held.upper - held.lower) / kStep));
  for (int i = 0; i <= n_steps; ++i) {
    const double pull = held.lower + (held.upper - held.lower) * i / n_steps;
    points.push_back(to_px(pull, grip::find_capacity_along(grip.set, pull)));
  }
  return points;
}

void Plot::draw_curves(Canvas& canvas) const {
  std::vector<Name> names;
  for (std::size_t i = 0; i < survey_.grips.size(); ++i) {
    const std::vector<Vec2> points = make_curve(survey_.grips[i]);
    canvas.polyline(points, paint_of(i));
    // A pinch holds on to above the hold: its name goes to where its curve is farthest left.
    const auto leftmost =
        std::min_element(points.begin(), points.end(), [](const Vec2& a, const Vec2& b) { return a.x() < b.x(); });
    const Vec2 at = survey_.grips[i].grip == Grip::kPinch ? *leftmost : points.back();
    names.push_back({i, std::string(name_of(survey_.grips[i].grip)), at, at.y()});
  }
  spread(names);
  const double end_x = corner_.x() + kNameColumn_px;
  for (const Name& name : names) {
    const Vec2 sample(end_x - 44.0, name.y);
    canvas.polyline({Vec2(end_x + 2.0, name.y), name.at}, {.stroke = kFaint, .width_px = 0.7});
    canvas.circle(name.at, 2.4, {.fill = kInk});
    canvas.line(sample, Vec2(end_x, name.y), paint_of(name.style));
    canvas.text(sample + Vec2(-8.0, 4.5), name.text, {.size_px = kTextSize_px, .anchor = "end"});
  }
}

/// Names as near as may be to the height of their curve's end, none over another.
void Plot::spread(std::vector<Name>& names) const {
  std::sort(names.begin(), names.end(), [](const Name& a, const Name& b) {
    return a.at.y() != b.at.y() ? a.at.y() < b.at.y() : a.style < b.style;
  });
  double lowest = -std::numeric_limits<double>::infinity();
  for (Name& name : names) lowest = name.y = std::max(name.y, lowest + kNameStep_px);
  // Back up, so that no line meets the angle of the border.
  double highest = std::min(corner_.y() + size_.y() - 10.0, find_angle_place(skin_.upper).y() - kNameStep_px);
  for (auto name = names.rbegin(); name != names.rend(); ++name) {
    name->y = std::min(name->y, highest);
    highest = name->y - kNameStep_px;
  }
}

void Plot::draw(Canvas& canvas) const {
  canvas.text(corner_ + Vec2(0.0, 8.0), "most force by the direction of the hand's pull",
              {.size_px = kTextSize_px, .bold = true});
  canvas.text(corner_ + Vec2(0.0, 26.0),
              "0 deg straight onto the floor, outward positive; dashed: friction of the skin ends; rings in N",
              {.size_px = 11.5, .fill = kFaint});
  if (survey_.grips.empty()) {
    canvas.text(corner_ + 0.5 * size_, "no grip is possible here", {.size_px = kTextSize_px, .anchor = "middle"});
    return;
  }
  draw_rings(canvas);
  draw_rays(canvas);
  draw_curves(canvas);
  draw_angles(canvas);
  canvas.circle(origin_, 3.0, {.fill = kInk});
}

}  // namespace

Vec2 view_from_site(const Vec2& yz, double incut) {
  const double c = std::cos(incut);
  const double s = std::sin(incut);
  return {c * yz.x() + s * yz.y(), -s * yz.x() + c * yz.y()};
}

void draw_grip_plot(Canvas& canvas, const grip::Survey& survey, const Vec2& corner, const Vec2& size) {
  Plot(survey, corner, size).draw(canvas);
}

}  // namespace steepwright::io
