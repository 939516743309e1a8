#include "engine/io/svg_view.h"

#include "engine/io/quantities.h"
#include "engine/io/svg_canvas.h"

#include <algorithm>
#include <cmath>

namespace steepwright::io {

namespace {

using figure::Role;

const Paint kStripFace{.stroke = "#9aa5b1", .width_px = 1.0, .fill = "#f3f5f7"};
const Paint kStripSlab{.stroke = "none", .fill = "#d5dbe1"};
const Paint kProfile{.stroke = "#3e4c59", .width_px = 2.2};
const Paint kFloor{.stroke = "#3e4c59", .width_px = 1.6};
const Paint kRoom{.stroke = "#b8c0c9", .width_px = 1.0, .dash = "2 4"};
const Paint kHold{.stroke = kMuted, .width_px = 1.0, .fill = "#aab4bf"};
const Paint kNut{.fill = "#c2cad2"};
const Paint kComPath{.stroke = kInk, .width_px = 1.4};
const Paint kPlumb{.stroke = kMuted, .width_px = 1.0, .dash = "1.5 4"};
const Paint kTarget{.stroke = kInk, .width_px = 1.4, .dash = "3 3"};
const Paint kShortfall{.stroke = kInk, .width_px = 2.0, .dash = "2 3"};

constexpr double kSlabThickness_m = 0.06;  // drawn behind a strip's face in the side view
constexpr double kForceWidth_px = 6.0;
constexpr double kLabel_px = 12.0;

// Labels that have been set in a view, so that the next one can move out of the way.
class LabelPlacer {
 public:
  // The first of a few places around `at` where the text covers no earlier one and stays in the view.
  Vec2 find_place(const View& view, const Vec2& at, double width, double height, const std::vector<Vec2>& offsets) {
    for (const Vec2& offset : offsets) {
      const Vec2 place = at + offset;
      if (is_free(view, place, width, height)) return reserve(place, width, height);
    }
    for (int step = 1; step < 12; ++step) {
      const Vec2 place = at + offsets.front() + Vec2(0.0, step * (height + 1.0));
      if (is_free(view, place, width, height)) return reserve(place, width, height);
    }
    return reserve(at + offsets.front(), width, height);
  }
  void block(const Vec2& low, const Vec2& high) { taken_.push_back({low, high}); }

 private:
  struct Area {
    Vec2 low, high;
  };
  // Text grows up from its baseline `place`.
  [[nodiscard]] bool is_free(const View& view, const Vec2& place, double width, double height) const {
    const Vec2 low(place.x() - 2.0, place.y() - height);
    const Vec2 high(place.x() + width + 2.0, place.y() + 3.0);
    if (low.x() < view.corner.x() || high.x() > view.corner.x() + view.size.x()) return false;
    if (low.y() < view.corner.y() || high.y() > view.corner.y() + view.size.y()) return false;
    return std::none_of(taken_.begin(), taken_.end(), [&](const Area& area) {
      return low.x() < area.high.x() && high.x() > area.low.x() && low.y() < area.high.y() && high.y() > area.low.y();
    });
  }
  Vec2 reserve(const Vec2& place, double width, double height) {
    block({place.x() - 2.0, place.y() - height}, {place.x() + width + 2.0, place.y() + 3.0});
    return place;
  }

  std::vector<Area> taken_;
};

std::vector<Vec2> project(const View& view, const std::vector<Vec3>& points_W) {
  std::vector<Vec2> points;
  points.reserve(points_W.size());
  for (const Vec3& p_W : points_W) points.push_back(view.at(p_W));
  return points;
}

double find_area(const std::vector<Vec2>& polygon) {
  double twice = 0.0;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Vec2& a = polygon[i];
    const Vec2& b = polygon[(i + 1) % polygon.size()];
    twice += a.x() * b.y() - a.y() * b.x();
  }
  return 0.5 * std::abs(twice);
}

class ViewDrawer {
 public:
  ViewDrawer(const View& view, Canvas& canvas) : view_(view), canvas_(canvas) {}

  void draw_scene(const figure::Figure& scene) {
    for (const figure::Line& line : scene.lines) {
      if (line.role == Role::kRoom) canvas_.polyline(project(view_, line.points_W), kRoom);
    }
    for (const figure::Face& face : scene.faces) {
      if (face.role == Role::kStrip) draw_strip(face);
    }
    for (const figure::Ball& ball : scene.balls) {
      if (ball.role == Role::kLatticePoint && !is_side())
        canvas_.circle(view_.at(ball.p_W), std::max(1.2, ball.radius_m * view_.px_per_m), kNut);
    }
    for (const figure::Face& face : scene.faces) {
      if (face.role != Role::kHold) continue;
      const std::vector<Vec2> corners = project(view_, face.corners_W);
      if (find_area(corners) > 0.5) canvas_.polygon(corners, kHold);
    }
    for (const figure::Line& line : scene.lines) {
      if (line.role == Role::kProfile && is_side()) canvas_.polyline(project(view_, line.points_W), kProfile);
    }
    const double floor_px = view_.at(Vec3::Zero()).y();
    canvas_.line({view_.corner.x(), floor_px}, {view_.corner.x() + view_.size.x(), floor_px}, kFloor);
  }

  void draw_frame(const figure::Figure& moves, const DrawnFrame& drawn, bool is_last) {
    if (is_last) draw_flesh(moves, drawn.frame);
    for (const figure::Line& line : moves.lines) {
      if (line.frame == drawn.frame && line.role == Role::kBone)
        canvas_.polyline(project(view_, line.points_W), drawn.look->bone);
    }
    for (const figure::Ball& ball : moves.balls) {
      if (ball.frame == drawn.frame && ball.role == Role::kHead) draw_head(ball, drawn);
    }
  }

  void draw_marks(const figure::Figure& moves, const std::vector<DrawnFrame>& frames) {
    for (const figure::Ball& ball : moves.balls) {
      if (ball.role == Role::kTarget) canvas_.circle(view_.at(ball.p_W), 11.0, kTarget);
    }
    for (const figure::Line& line : moves.lines) {
      if (line.role == Role::kComPath) canvas_.polyline(project(view_, line.points_W), kComPath);
      if (line.role == Role::kPlumb && !frames.empty() && line.frame == frames.back().frame)
        canvas_.polyline(project(view_, line.points_W), kPlumb);
      if (line.role == Role::kShortfall) canvas_.polyline(project(view_, line.points_W), kShortfall);
    }
    for (const figure::Ball& ball : moves.balls) {
      if (ball.role != Role::kCom) continue;
      const auto drawn = std::find_if(frames.begin(), frames.end(),
                                      [&ball](const DrawnFrame& frame) { return frame.frame == ball.frame; });
      if (drawn != frames.end()) draw_com(view_.at(ball.p_W), drawn->look->bone.stroke);
    }
  }

  void label_forces(const figure::Figure& moves, int frame) {
    for (const figure::Arrow& arrow : moves.arrows) {
      if (arrow.frame == frame) label_force(arrow);
    }
    for (const figure::Line& line : moves.lines) {
      if (line.role == Role::kShortfall && !line.points_W.empty())
        put_label(view_.at(0.5 * (line.points_W.front() + line.points_W.back())), line.label, true);
    }
  }

  void draw_arrows(const figure::Figure& moves, int frame, double width_px) {
    for (const figure::Arrow& arrow : moves.arrows) {
      if (arrow.frame != frame) continue;
      const Vec2 foot = view_.at(arrow.p_W);
      const Vec2 head = view_.at(arrow.p_W + arrow.vector_W);
      canvas_.arrow(foot, head, use_colour(arrow.use), width_px);
      labels_.block(foot.cwiseMin(head) - Vec2(4, 4), foot.cwiseMax(head) + Vec2(4, 4));
    }
  }

  void label_holds(const figure::Figure& scene, const std::vector<std::string>& names) {
    for (const figure::Face& face : scene.faces) {
      if (face.role != Role::kHold || face.label.empty()) continue;
      if (std::find(names.begin(), names.end(), face.label) == names.end()) continue;
      Vec2 low = view_.at(face.corners_W.front());
      Vec2 high = low;
      for (const Vec2& corner : project(view_, face.corners_W)) {
        low = low.cwiseMin(corner);
        high = high.cwiseMax(corner);
      }
      put_label(0.5 * (low + high), face.label, false, 0.5 * (high.x() - low.x()));
    }
  }

  void label_strips(const figure::Figure& scene) {
    std::vector<std::string> done;
    for (const figure::Face& face : scene.faces) {
      if (face.role != Role::kStrip || std::find(done.begin(), done.end(), face.label) != done.end()) continue;
      done.push_back(face.label);
      const Vec3 along_W = face.corners_W[3] - face.corners_W[0];
      const Vec3 up_W = along_W.normalized();
      const Vec3 behind_W(0.0, up_W.z(), -up_W.y());
      const double width = estimate_text_width(face.label, kLabel_px);
      const bool is_roof = behind_W.z() > 0.7;  // the text stands above a roof, behind a panel
      const Vec2 offset = is_roof ? Vec2(-0.2 * width, -6.0) : Vec2(0.0, 4.0);
      // Long strips carry their name near the top, where fewer arrows are.
      const std::vector<double> shares =
          along_W.norm() > 1.0 ? std::vector{0.8, 0.9, 0.7, 0.6, 0.5, 0.4, 0.3} : std::vector{0.5, 0.8, 0.2};
      const auto at = [&](double share) {
        return view_.at(face.corners_W[0] + share * along_W + behind_W * (kSlabThickness_m + 0.05));
      };
      std::vector<Vec2> offsets;
      offsets.reserve(shares.size());
      for (const double share : shares) offsets.emplace_back(at(share) - at(shares.front()) + offset);
      const Vec2 place = labels_.find_place(view_, at(shares.front()), width, kLabel_px, offsets);
      canvas_.text(place, face.label, {.size_px = kLabel_px, .fill = "#3e4c59", .halo = true});
    }
  }

 private:
  [[nodiscard]] bool is_side() const { return view_.horizontal == 1; }

  void draw_strip(const figure::Face& face) {
    if (!is_side()) {
      canvas_.polygon(project(view_, face.corners_W), kStripFace);
      return;
    }
    const Vec3 up_W = (face.corners_W[3] - face.corners_W[0]).normalized();
    const Vec3 back_W = kSlabThickness_m * Vec3(0.0, up_W.z(), -up_W.y());
    canvas_.polygon(
        project(view_, {face.corners_W[0], face.corners_W[3], face.corners_W[3] + back_W, face.corners_W[0] + back_W}),
        kStripSlab);
  }

  void draw_flesh(const figure::Figure& moves, int frame) {
    canvas_.open_fade(0.16);
    for (const figure::Tube& tube : moves.tubes) {
      if (tube.frame != frame) continue;
      canvas_.polygon(make_capsule_outline(tube), {.stroke = "#3e4c59", .width_px = 0.5, .fill = "#3e4c59"});
    }
    canvas_.close_group();
  }

  // Outline of two circles and their common tangents.
  [[nodiscard]] std::vector<Vec2> make_capsule_outline(const figure::Tube& tube) const {
    const Vec2 a = view_.at(tube.pA_W);
    const Vec2 b = view_.at(tube.pB_W);
    const double radius_a = tube.radius_A * view_.px_per_m;
    const double radius_b = tube.radius_B * view_.px_per_m;
    const Vec2 along = b - a;
    const double length = along.norm();
    const bool one_in_other = length <= std::abs(radius_a - radius_b) + 1e-9;
    const double heading = length > 0.0 ? std::atan2(along.y(), along.x()) : 0.0;
    const double lean = one_in_other ? 0.0 : std::acos((radius_a - radius_b) / length);
    const Vec2& larger = radius_a > radius_b ? a : b;
    const double larger_radius = std::max(radius_a, radius_b);
    constexpr int kSteps = 12;
    constexpr double kTurn = 6.283185307179586;
    std::vector<Vec2> outline;
    const auto add_arc = [&outline](const Vec2& centre, double radius, double from, double to) {
      for (int i = 0; i <= kSteps; ++i) {
        const double angle = from + (to - from) * i / kSteps;
        outline.emplace_back(centre.x() + radius * std::cos(angle), centre.y() + radius * std::sin(angle));
      }
    };
    if (one_in_other) {
      add_arc(larger, larger_radius, 0.0, kTurn);
    } else {
      add_arc(b, radius_b, heading - lean, heading + lean);
      add_arc(a, radius_a, heading + lean, heading + kTurn - lean);
    }
    return outline;
  }

  void draw_head(const figure::Ball& ball, const DrawnFrame& drawn) {
    Paint paint = drawn.look->bone;
    paint.fill = "#ffffff";
    const Vec2 middle = view_.at(ball.p_W);
    const double radius = std::max(3.0, ball.radius_m * view_.px_per_m);
    canvas_.circle(middle, radius, paint);
    labels_.block(middle - Vec2::Constant(radius), middle + Vec2::Constant(radius));
  }

  // The draughtsman's sign: a circle with two of its quarters filled.
  void draw_com(const Vec2& at, const std::string& shade) {
    constexpr double kRadius = 6.0;
    canvas_.circle(at, kRadius, {.stroke = shade, .width_px = 1.6, .fill = "#ffffff"});
    for (const double sign : {1.0, -1.0}) {
      std::vector<Vec2> quarter = {at};
      for (int i = 0; i <= 6; ++i) {
        const double angle = 1.5707963267948966 * i / 6;
        quarter.push_back(at + sign * kRadius * Vec2(std::cos(angle), -std::sin(angle)));
      }
      canvas_.polygon(quarter, {.fill = shade});
    }
  }

  void label_force(const figure::Arrow& arrow) {
    const Vec2 head = view_.at(arrow.p_W + arrow.vector_W);
    put_label(head, arrow.label + ", " + show_percent(arrow.use), true, 8.0);
  }

  // Beside `at`, which is `half_width_px` wide to either side.
  void put_label(const Vec2& at, const std::string& text, bool bold, double half_width_px = 3.0) {
    const double width = estimate_text_width(text, kLabel_px);
    const double right = half_width_px + 6.0;
    const double left = -width - right;
    const double centred = -0.5 * width;
    const Vec2 place = labels_.find_place(view_, at, width, kLabel_px,
                                          {{right, 4.0},
                                           {left, 4.0},
                                           {centred, -12.0},
                                           {centred, 24.0},
                                           {right, -14.0},
                                           {right, 20.0},
                                           {left, -14.0},
                                           {left, 20.0}});
    canvas_.text(place, text, {.size_px = kLabel_px, .bold = bold, .halo = true});
  }

  const View& view_;
  Canvas& canvas_;
  LabelPlacer labels_;
};

}  // namespace

const std::vector<PhaseLook>& phase_looks() {
  static const std::vector<PhaseLook> kLooks = {
      {move::Phase::kBefore, "before", {.stroke = "#9aa8b6", .width_px = 3.0, .dash = "1 6"}},
      {move::Phase::kTouch, "touch", {.stroke = "#66788a", .width_px = 2.6, .dash = "9 6"}},
      {move::Phase::kSettled, "settled", {.stroke = kInk, .width_px = 3.4}}};
  return kLooks;
}

std::vector<DrawnFrame> find_drawn_frames(const move::MoveResult& result) {
  std::vector<DrawnFrame> drawn;
  for (const PhaseLook& look : phase_looks()) {
    for (std::size_t i = 0; i < result.frames.size(); ++i) {
      if (result.frames[i].phase == look.phase && result.frames[i].posture.angles.size() > 0) {
        drawn.push_back({static_cast<int>(i), &look});
        break;
      }
    }
  }
  return drawn;
}

void draw_view(const View& view, const figure::Figure& scene, const figure::Figure& moves,
               const std::vector<DrawnFrame>& frames, const std::vector<std::string>& named_holds, Canvas& canvas) {
  ViewDrawer drawer(view, canvas);
  canvas.open_clip(view.corner, view.size);
  drawer.draw_scene(scene);
  for (std::size_t i = 0; i < frames.size(); ++i) drawer.draw_frame(moves, frames[i], i + 1 == frames.size());
  drawer.draw_marks(moves, frames);
  if (!frames.empty()) drawer.draw_arrows(moves, frames.back().frame, kForceWidth_px);
  if (view.horizontal == 1) drawer.label_strips(scene);
  if (!frames.empty()) drawer.label_forces(moves, frames.back().frame);
  if (view.horizontal == 0) drawer.label_holds(scene, named_holds);
  canvas.close_group();
}

void draw_small_view(const View& view, const figure::Figure& scene, const figure::Figure& moves, int frame,
                     Canvas& canvas) {
  static const PhaseLook kLook = {move::Phase::kSettled, {}, {.stroke = kInk, .width_px = 1.9}};
  constexpr double kArrow_px = 4.0;
  const DrawnFrame drawn{frame, &kLook};
  ViewDrawer drawer(view, canvas);
  canvas.open_clip(view.corner, view.size);
  drawer.draw_scene(scene);
  drawer.draw_frame(moves, drawn, true);
  drawer.draw_marks(moves, {drawn});
  drawer.draw_arrows(moves, frame, kArrow_px);
  canvas.close_group();
}

}  // namespace steepwright::io
