#include "engine/core/units.h"
#include "engine/move/goals.h"
#include "viewer/app/viewport_panel.h"
#include "viewer/commands/key_limits.h"
#include "viewer/commands/limb_sites.h"
#include "viewer/commands/placement.h"
#include "viewer/render/convert.h"

#include <imgui/imgui.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace steepwright::viewer {

namespace {

using Kind = render::PickId::Kind;

constexpr double kClickReach_px = 4.0;  // a press that moves less is a click
constexpr int kPickReach_px = 5;
constexpr double kZoomStep = 0.88;
constexpr double kAngleStep_deg = 0.5;
constexpr double kLengthStep_mm = 10.0;

}  // namespace

render::PickResult ViewportPanel::pick(const glm::dvec2& pixel) {
  if (renderer_ == nullptr) return {};
  const auto options =
      make_options(drawn_settings_, static_cast<int>(viewport_.width_px), static_cast<int>(viewport_.height_px));
  return renderer_->pick(camera_, options, static_cast<int>(pixel.x), static_cast<int>(pixel.y), kPickReach_px);
}

void ViewportPanel::handle_mouse(const PanelContext& context, const glm::dvec2& pixel, bool is_hovered) {
  const ImGuiIO& io = ImGui::GetIO();
  if (drag_ != Drag::kNone) {
    if (io.MouseDown[drag_button_]) {
      go_on_dragging(context, pixel);
    } else {
      const bool is_click = !has_moved_ && drag_button_ == 0;
      drag_ = Drag::kNone;
      if (is_click) click(context, pick(press_pixel_));
    }
    last_pixel_ = pixel;
    return;
  }
  if (!is_hovered) {
    hover_ = {};
    hover_pixel_ = glm::dvec2(-1.0);
    return;
  }
  if (pixel != hover_pixel_ && !ImGui::IsAnyMouseDown()) {
    hover_ = pick(pixel);
    hover_pixel_ = pixel;
  }
  if (io.MouseWheel != 0.0F) {
    flight_left_s_ = 0.0;
    camera_ = zoom_to_cursor(camera_, viewport_, std::pow(kZoomStep, static_cast<double>(io.MouseWheel)), pixel,
                             pick(pixel).p_W);
  }
  for (const int button : {0, 1, 2}) {
    if (ImGui::IsMouseClicked(button)) return begin_drag(context, pixel, button);
  }
}

void ViewportPanel::begin_drag(const PanelContext& context, const glm::dvec2& pixel, int button) {
  flight_left_s_ = 0.0;
  drag_button_ = button;
  press_pixel_ = last_pixel_ = pixel;
  has_moved_ = false;
  const render::PickResult hit = pick(pixel);
  grabbed_W_ = hit.p_W;
  const bool is_pan = button != 0 || ImGui::GetIO().KeyShift;
  drag_ = is_pan ? Drag::kPan : Drag::kOrbit;
  if (is_pan || context.ui.define.is_on) return;
  const wall::Wall& wall = context.document.scene().wall;
  if (hit.id.kind == Kind::kHold && hit.id.index < context.document.scene().holds.size()) {
    const move::PlacedHold& hold = context.document.scene().holds[hit.id.index];
    const auto point = render::find_point_on_strip(wall, hold.strip, find_ray(camera_, viewport_, pixel));
    if (!point) return;
    drag_ = Drag::kHold;
    dragged_ = static_cast<int>(hit.id.index);
    grab_offset_m_ = {hold.across_m - point->across_m, hold.up_m - point->up_m};
  } else if (hit.id.kind == Kind::kPanelEdge && hit.id.index < wall.strips.size()) {
    drag_ = Drag::kStrip;
    dragged_ = static_cast<int>(hit.id.index);
  }
  if (drag_ == Drag::kHold || drag_ == Drag::kStrip) static_cast<void>(context.ui.begin_gesture());
}

void ViewportPanel::go_on_dragging(const PanelContext& context, const glm::dvec2& pixel) {
  if (!has_moved_ && glm::distance(pixel, press_pixel_) < kClickReach_px) return;
  // The way up to the reach of a click counts too: the thing must not lag behind the pointer.
  const glm::dvec2 step = has_moved_ ? pixel - last_pixel_ : pixel - press_pixel_;
  has_moved_ = true;
  if (step == glm::dvec2(0.0)) return;
  switch (drag_) {
    case Drag::kOrbit:
      camera_ = grabbed_W_ ? orbit_about(camera_, viewport_, step, *grabbed_W_) : orbit(camera_, viewport_, step);
      return;
    case Drag::kPan:
      camera_ = pan(camera_, viewport_, step, grabbed_W_);
      return;
    case Drag::kHold:
      return drag_hold(context, pixel);
    case Drag::kStrip:
      return drag_strip(context, pixel);
    case Drag::kNone:
      return;
  }
}

void ViewportPanel::drag_hold(const PanelContext& context, const glm::dvec2& pixel) {
  const move::Scene& scene = context.document.scene();
  if (static_cast<std::size_t>(dragged_) >= scene.holds.size()) return;
  const Ray ray = find_ray(camera_, viewport_, pixel);
  const int own_strip = scene.holds[static_cast<std::size_t>(dragged_)].strip;
  // Over another panel the hold goes there; past all edges it stays on its own.
  auto point = render::find_panel_point(scene.wall, ray);
  glm::dvec2 offset = grab_offset_m_;
  if (!point || point->strip == own_strip) {
    point = render::find_point_on_strip(scene.wall, own_strip, ray);
  } else {
    offset = glm::dvec2(0.0);
  }
  if (!point) return;
  const BoltPlace place = find_snapped_place(scene.wall, point->strip, point->across_m + offset.x,
                                             point->up_m + offset.y, ImGui::GetIO().KeyAlt);
  context.intents.edit(MoveHold{dragged_, place.strip, place.across_m, place.up_m, place.on_lattice},
                       context.ui.open_gesture);
  context.ui.hold = dragged_;
}

void ViewportPanel::drag_strip(const PanelContext& context, const glm::dvec2& pixel) {
  const wall::Wall& wall = context.document.scene().wall;
  if (static_cast<std::size_t>(dragged_) >= wall.strips.size()) return;
  const wall::Strip& strip = wall.strips[static_cast<std::size_t>(dragged_)];
  // The grip moves in the plane of the wall's profile.
  const Ray ray = find_ray(camera_, viewport_, pixel);
  const Vec3 foot = strip.X_WP.p;
  if (std::abs(ray.direction_W.x) < 1e-3) return;
  const glm::dvec3 p_W = ray.p_W + ((foot.x() - ray.p_W.x) / ray.direction_W.x) * ray.direction_W;
  const double out_m = foot.y() - p_W.y;
  const double up_m = p_W.z - foot.z();
  if (std::hypot(out_m, up_m) < 0.05) return;
  const bool is_kicker = foot.z() < 1e-6 && wall.sections[static_cast<std::size_t>(strip.section)].strips.size() > 1;
  if (is_kicker || ImGui::GetIO().KeyAlt) {
    const KeyLimits length = find_key_limits(io::FileKind::kScene, "wall.section.strip.length_mm");
    const double along_m = strip.X_WP.R.col(1).dot(Vec3(0.0, -out_m, up_m));
    const double length_mm = kLengthStep_mm * std::round(mm_from_m(along_m) / kLengthStep_mm);
    context.intents.edit(SetStripLength{dragged_, std::clamp(length_mm, length.lower, length.upper) / 1000.0},
                         context.ui.open_gesture);
    return;
  }
  const KeyLimits angle = find_key_limits(io::FileKind::kScene, "wall.section.strip.angle_deg");
  const double angle_deg = kAngleStep_deg * std::round(deg_from_rad(std::atan2(out_m, up_m)) / kAngleStep_deg);
  context.intents.edit(SetStripAngle{dragged_, rad_from_deg(std::clamp(angle_deg, angle.lower, angle.upper))},
                       context.ui.open_gesture);
}

void ViewportPanel::click(const PanelContext& context, const render::PickResult& hit) {
  UiState& ui = context.ui;
  const bool is_hold = hit.id.kind == Kind::kHold;
  const bool is_limb = hit.id.kind == Kind::kLimb || hit.id.kind == Kind::kArrow;
  if (ui.define.is_on) {
    if (is_limb) ui.define.limb = kLimbs.at(hit.id.index);
    const move::Move* move = context.move();
    if (!is_hold || !ui.define.limb) return;
    DefineMove command;
    if (move != nullptr) command.before = ui.t >= 0.5 ? move::find_settled(*move) : move->before;
    command.limb = *ui.define.limb;
    command.hold = static_cast<int>(hit.id.index);
    context.intents.edit(command);
    return;
  }
  if (is_hold) {
    if (ui.hold != static_cast<int>(hit.id.index)) ui.site = 0;
    ui.hold = static_cast<int>(hit.id.index);
  } else if (!is_limb) {
    ui.hold = -1;
  }
}

}  // namespace steepwright::viewer
