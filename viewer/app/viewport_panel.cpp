#include "viewer/app/viewport_panel.h"

#include "viewer/panels/widgets.h"
#include "viewer/render/convert.h"
#include "viewer/render/wall_mesh.h"

#include <fmt/format.h>
#include <imgui/imgui.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace steepwright::viewer {

namespace {

constexpr double kFlight_s = 0.25;

// Shaded, so that it is read on whatever is behind it.
void write_over_picture(const Palette& palette, const ImVec2& corner, const std::string& text, float wrap = 0.0F) {
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const float margin = 0.25F * ImGui::GetFontSize();
  const ImVec2 size = ImGui::CalcTextSize(text.c_str(), nullptr, false, wrap);
  list.AddRectFilled({corner.x - margin, corner.y - 0.4F * margin},
                     {corner.x + size.x + margin, corner.y + size.y + 0.4F * margin},
                     to_u32(faded(palette.panel, 0.72F)), margin);
  list.AddText(ImGui::GetFont(), ImGui::GetFontSize(), corner, to_u32(palette.text), text.c_str(), nullptr, wrap);
}

}  // namespace

render::RenderOptions ViewportPanel::make_options(const Settings& settings, int width_px, int height_px) const {
  render::RenderOptions options = render::make_render_options(look_.theme, width_px, height_px);
  options.samples = settings.has_smooth_edges ? 4 : 1;
  options.has_shadows = settings.has_shadows;
  options.has_ambient_occlusion = settings.has_shadows;
  // Whoever does without both wants speed most of all.
  if (!settings.has_shadows && !settings.has_smooth_edges) render::set_plain(options);
  return options;
}

void ViewportPanel::fit_once(const PanelContext& context) {
  if (has_camera_ || viewport_.width_px < 2.0) return;
  camera_ = make_open_view(viewport_, render::find_wall_box(context.document.scene().wall));
  flight_left_s_ = 0.0;
  has_camera_ = true;
}

void ViewportPanel::fly_to(const Camera& camera) {
  flight_from_ = camera_;
  flight_to_ = camera;
  flight_left_s_ = kFlight_s;
}

void ViewportPanel::advance_flight(double dt_s) {
  if (flight_left_s_ <= 0.0) return;
  flight_left_s_ = std::max(0.0, flight_left_s_ - dt_s);
  const double share = 1.0 - flight_left_s_ / kFlight_s;
  camera_ = flight_left_s_ > 0.0 ? blend(flight_from_, flight_to_, share * share * (3.0 - 2.0 * share)) : flight_to_;
  is_picture_new_ = true;
}

void ViewportPanel::show(View view, const PanelContext& context) {
  const Box box = render::find_wall_box(context.document.scene().wall);
  switch (view) {
    case View::kOpen:
      return fly_to(make_open_view(viewport_, box));
    case View::kFront:
      return fly_to(make_front_view(viewport_, box));
    case View::kLeft:
      return fly_to(make_side_view(viewport_, box, true));
    case View::kRight:
      return fly_to(make_side_view(viewport_, box, false));
    case View::kFit:
      return fly_to(fit(camera_, viewport_, box));
    case View::kClimber:
      break;
  }
  const auto eyes = moment_.find_eyes(context.ui.t);
  const move::Move* move = context.move();
  if (!eyes || move == nullptr || move->target.hold < 0) return;
  const Vec3 look = context.document.scene().holds[static_cast<std::size_t>(move->target.hold)].X_WH.p;
  fly_to(make_climbers_eye_view(render::to_dvec3(*eyes), render::to_dvec3(look)));
}

void ViewportPanel::update_scene(const PanelContext& context) {
  SceneLook look;
  look.theme = context.palette.theme;
  look.has_grid = context.settings.has_grid;
  look.selected_hold = context.ui.hold;
  look.selected_limb = context.ui.define.limb;
  const MoveAnswer* answer = context.answer();
  look.is_stale = answer != nullptr && context.is_stale(*answer);
  if (drag_ == Drag::kNone || drag_ == Drag::kHold || drag_ == Drag::kStrip) {
    if (hover_.id.kind == render::PickId::Kind::kHold) look.hovered_hold = static_cast<int>(hover_.id.index);
    if (hover_.id.kind == render::PickId::Kind::kPanelEdge) look.hovered_edge = static_cast<int>(hover_.id.index);
  }
  const bool is_same = look == look_ && drawn_revision_ == context.document.revision() &&
                       drawn_results_ == context.results.count() && drawn_move_ == context.ui.move &&
                       drawn_t_ == context.ui.t && drawn_settings_ == context.settings;
  if (is_same) return;
  look_ = look;
  drawn_revision_ = context.document.revision();
  drawn_results_ = context.results.count();
  drawn_move_ = context.ui.move;
  drawn_t_ = context.ui.t;
  drawn_settings_ = context.settings;
  scene_.clear();
  labels_.clear();
  append_wall_and_holds(context.document.scene(), look_, meshes_, scene_);
  if (const ReachAnswer* reach = context.reach()) {
    reach_.update(context.document.scene().wall, context.document.revision(), *reach, look_.theme,
                  reach->revision != context.document.revision());
    reach_.append(scene_);
  }
  if (answer != nullptr) {
    moment_.update(context.document.scene(), *answer);
    const StanceAnswer* ahead = context.stance_ahead();
    // Another body has another figure: its stance waits for the whole answer.
    if (ahead != nullptr && ahead->body == answer->body) {
      moment_.append_ahead(*ahead->frame, look_, scene_, labels_);
    } else {
      moment_.append(context.ui.t, look_, scene_, labels_);
    }
    if (const move::MoveRisk* risk = context.risk()) moment_.append_risk(*risk, look_, scene_);
  }
  is_scene_new_ = true;
}

bool ViewportPanel::is_in_motion() const {
  return (drag_ != Drag::kNone && has_moved_) || flight_left_s_ > 0.0 || look_.is_stale;
}

void ViewportPanel::update_picture(const PanelContext& context) {
  if (renderer_ == nullptr) return;
  // A processor that draws takes many frames' time for a fine picture: not while somebody waits for it.
  const bool is_hurried = renderer_->is_software() && is_in_motion();
  if (is_hurried_ != is_hurried) is_picture_new_ = true;
  if (!is_scene_new_ && !is_picture_new_) return;
  is_hurried_ = is_hurried;
  render::RenderOptions options =
      make_options(context.settings, static_cast<int>(viewport_.width_px), static_cast<int>(viewport_.height_px));
  if (is_hurried) render::set_plain(options);
  renderer_->draw(scene_, camera_, options);
  ++n_pictures_;
  is_scene_new_ = false;
  is_picture_new_ = false;
}

Result<Image> ViewportPanel::export_picture(int width_px, int height_px, const Settings& settings) {
  if (renderer_ == nullptr) return failure("there is no OpenGL to draw a picture with");
  renderer_->draw(scene_, camera_, make_options(settings, width_px, height_px));
  Image image;
  renderer_->read_pixels(image);
  is_picture_new_ = true;
  return image;
}

void ViewportPanel::draw(const PanelContext& context) {
  const ImVec2 corner = ImGui::GetCursorScreenPos();
  const ImVec2 size = ImGui::GetContentRegionAvail();
  if (size.x < 8.0F || size.y < 8.0F) return;
  const Viewport viewport{std::floor(size.x), std::floor(size.y)};
  if (viewport.width_px != viewport_.width_px || viewport.height_px != viewport_.height_px) is_picture_new_ = true;
  viewport_ = viewport;
  const auto left = static_cast<int>(corner.x);
  const auto top = static_cast<int>(corner.y);
  place_ = {left, top, left + static_cast<int>(size.x), top + static_cast<int>(size.y)};
  fit_once(context);
  advance_flight(ImGui::GetIO().DeltaTime);

  ImGui::InvisibleButton(
      "view", size,
      ImGuiButtonFlags_MouseButtonLeft | ImGuiButtonFlags_MouseButtonRight | ImGuiButtonFlags_MouseButtonMiddle);
  context.marks.note_last_item("view");
  const bool is_hovered = ImGui::IsItemHovered();
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  const Camera before = camera_;
  handle_mouse(context, {mouse.x - corner.x, mouse.y - corner.y}, is_hovered);
  if (before != camera_) is_picture_new_ = true;
  if (renderer_ != nullptr) {
    shown_texture_ = renderer_->texture();
    const auto texture = static_cast<std::uintptr_t>(shown_texture_);
    ImGui::GetWindowDrawList()->AddImage(
        reinterpret_cast<ImTextureID>(texture), corner,
        {corner.x + static_cast<float>(viewport_.width_px), corner.y + static_cast<float>(viewport_.height_px)},
        {0.0F, 1.0F}, {1.0F, 0.0F});
  }
  const MarkRect legend = draw_legend(context, corner.x + size.x, corner.y);
  draw_overlay(context, corner.x, corner.y, legend);
  explain_pointed(context, is_hovered, legend);
}

void ViewportPanel::update(const PanelContext& context) {
  if (viewport_.width_px < 2.0) return;
  update_scene(context);
  update_picture(context);
  if (renderer_ == nullptr || renderer_->texture() == shown_texture_) return;
  // A picture of another size is another texture.
  const auto find_id = [](unsigned int texture) {
    return reinterpret_cast<ImTextureID>(static_cast<std::uintptr_t>(texture));
  };
  const ImDrawData& drawn = *ImGui::GetDrawData();
  for (int i = 0; i < drawn.CmdListsCount; ++i) {
    for (ImDrawCmd& command : drawn.CmdLists[i]->CmdBuffer) {
      if (command.TextureId == find_id(shown_texture_)) command.TextureId = find_id(renderer_->texture());
    }
  }
  shown_texture_ = renderer_->texture();
}

std::vector<ViewLabel> ViewportPanel::find_labels(const move::Scene& scene) const {
  std::vector<ViewLabel> labels = labels_;
  const int hovered = look_.hovered_hold == look_.selected_hold ? -1 : look_.hovered_hold;
  for (const int hold : {hovered, look_.selected_hold}) {
    if (hold < 0 || static_cast<std::size_t>(hold) >= scene.holds.size()) continue;
    const move::PlacedHold& placed = scene.holds[static_cast<std::size_t>(hold)];
    labels.push_back(
        {placed.X_WH.p,
         fmt::format("{}  {:.0f} mm across, {:.0f} mm up", placed.name, 1e3 * placed.across_m, 1e3 * placed.up_m),
         true});
  }
  // Strong ones keep their place, others give way downward.
  std::stable_sort(labels.begin(), labels.end(),
                   [](const ViewLabel& a, const ViewLabel& b) { return a.is_strong > b.is_strong; });
  return labels;
}

void ViewportPanel::draw_labels(const PanelContext& context, float left, float top, const MarkRect& legend) const {
  const float font = ImGui::GetFontSize();
  std::vector<MarkRect> taken;
  for (const ViewLabel& label : find_labels(context.document.scene())) {
    const auto pixel = find_pixel(camera_, viewport_, render::to_dvec3(label.p_W));
    if (!pixel) continue;
    const float width = ImGui::CalcTextSize(label.text.c_str()).x + 0.6F * font;
    MarkRect rect{left + static_cast<float>(pixel->x) + 0.6F * font, top + static_cast<float>(pixel->y) - 0.5F * font};
    // At the right edge, or the legend, it moves in as far as it is wide.
    const bool is_beside_legend = rect.top + 1.3F * font > legend.top && rect.top < legend.bottom;
    const float edge = is_beside_legend ? legend.left - 0.3F * font : left + static_cast<float>(viewport_.width_px);
    rect.left = std::max(std::min(rect.left, edge - width), left);
    // Then over what it names, not on it.
    if (rect.left < left + static_cast<float>(pixel->x)) rect.top -= 1.3F * font;
    const auto is_in_the_way = [&rect, width, font](const MarkRect& other) {
      return rect.left < other.right && rect.left + width > other.left && rect.top < other.bottom &&
             rect.top + 1.3F * font > other.top;
    };
    for (auto other = taken.begin(); other != taken.end();) {
      if (!is_in_the_way(*other)) {
        ++other;
        continue;
      }
      rect.top = other->bottom;
      other = taken.begin();
    }
    rect.right = rect.left + width;
    rect.bottom = rect.top + 1.3F * font;
    taken.push_back(rect);
    write_over_picture(context.palette, {rect.left, rect.top}, label.text);
  }
}

void ViewportPanel::draw_overlay(const PanelContext& context, float left, float top, const MarkRect& legend) const {
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const float bottom = top + static_cast<float>(viewport_.height_px);
  list.PushClipRect({left, top}, {left + static_cast<float>(viewport_.width_px), bottom}, true);
  draw_labels(context, left, top, legend);
  list.PopClipRect();
  const UiState& ui = context.ui;
  const float font = ImGui::GetFontSize();
  const float wrap = std::max(static_cast<float>(viewport_.width_px) - 1.6F * font, 8.0F * font);
  float line = bottom - 0.8F * font;
  for (const std::string& told : {ui.busy, ui.status_left_s > 0.0 ? ui.status : std::string()}) {
    if (told.empty()) continue;
    line -= ImGui::CalcTextSize(told.c_str(), nullptr, false, wrap).y;
    write_over_picture(context.palette, {left + 0.8F * font, line}, told, wrap);
    line -= 0.5F * font;
  }
}

MarkRect ViewportPanel::draw_legend(const PanelContext& context, float right, float top) const {
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const float font = ImGui::GetFontSize();
  const auto legend = render::make_use_legend(context.palette.theme);
  // A small picture has a small legend: every other name, and a shorter heading.
  const bool is_small = viewport_.width_px < 32.0 * static_cast<double>(font);
  const float step = (is_small ? 0.32F : 0.55F) * font;
  const float height = step * static_cast<float>(legend.size());
  const float width = (is_small ? 6.2F : 8.6F) * font;
  const float left = right - width - 0.6F * font;
  const float upper = top + 0.6F * font;
  list.AddRectFilled({left, upper}, {right - 0.6F * font, upper + height + 3.1F * font},
                     to_u32(faded(context.palette.panel, 0.78F)), 0.3F * font);
  list.AddText({left + 0.5F * font, upper + 0.3F * font}, to_u32(context.palette.text),
               is_small ? "of limit" : "share of limit");
  const float bar_top = upper + 2.2F * font;
  for (std::size_t i = 0; i < legend.size(); ++i) {
    const float y = bar_top + height - step * static_cast<float>(i + 1);
    const render::Color& color = legend[i].color;
    list.AddRectFilled({left + 0.6F * font, y}, {left + 2.2F * font, y + step},
                       to_u32({color.r, color.g, color.b, 1.0F}));
    // The name of what is over the limit stands over its box, that of 100 % a little below its own.
    const float shift = i + 1 == legend.size() ? -0.45F * font : i + 2 == legend.size() ? 0.2F * font : 0.0F;
    // Named are 0, 25, 50, 75, 100 % and what is over.
    const bool is_left_out = is_small && i % 8 == 4;
    if (!legend[i].label.empty() && !is_left_out)
      list.AddText({left + 2.8F * font, y + 0.5F * step - 0.5F * font + shift}, to_u32(context.palette.text),
                   legend[i].label.c_str());
  }
  draw_reach_legend(context, left, upper + height + 3.7F * font, width);
  return {left, upper, right, upper + height + 3.1F * font};
}

// Under the scale: whose reach the bands are, and how far the answer is.
void ViewportPanel::draw_reach_legend(const PanelContext& context, float left, float top, float width) const {
  const ReachAnswer* reach = context.reach();
  if (!context.settings.has_reach || context.move() == nullptr) return;
  ImDrawList& list = *ImGui::GetWindowDrawList();
  const float font = ImGui::GetFontSize();
  std::string text = fmt::format("reach of the {}: being computed", long_name(context.move()->moving));
  if (reach != nullptr) {
    const bool is_stale = reach->revision != context.document.revision();
    const bool is_anywhere = std::any_of(reach->map->places.begin(), reach->map->places.end(),
                                         [](const study::ReachPlace& place) { return place.is_held; });
    text = describe_reach_subject(*reach) + (is_anywhere ? "" : ": nowhere") +
           "\n\nbands: effort with it just placed, in the colours above";
    text += is_stale ? "\nbefore the last change"
            : reach->stage + 1 < kReachStages
                ? fmt::format("\nevery {:.0f} mm, being refined", 1e3 * reach->map->pitch_m)
                : "";
  }
  if (context.risk() != nullptr) text += "\n\nribbon on the path: draws that fail";
  const float wrap = width - 1.0F * font;
  const ImVec2 size = ImGui::CalcTextSize(text.c_str(), nullptr, false, wrap);
  list.AddRectFilled({left, top}, {left + width, top + size.y + 0.6F * font},
                     to_u32(faded(context.palette.panel, 0.78F)), 0.3F * font);
  list.AddText(ImGui::GetFont(), font, {left + 0.5F * font, top + 0.3F * font}, to_u32(context.palette.text),
               text.c_str(), nullptr, wrap);
}

// What the reach says of the place under the pointer, or of the bolt that is being dragged.
std::string ViewportPanel::describe_place(const PanelContext& context) const {
  const ReachAnswer* reach = context.reach();
  const move::Scene& scene = context.document.scene();
  if (reach == nullptr || reach->revision != context.document.revision()) return "";
  if (drag_ == Drag::kHold && has_moved_ && static_cast<std::size_t>(dragged_) < scene.holds.size()) {
    const move::PlacedHold& hold = scene.holds[static_cast<std::size_t>(dragged_)];
    const bool is_target = context.move() != nullptr && context.move()->target.hold == dragged_;
    return is_target ? describe_reach(*reach, hold.strip, hold.across_m, hold.up_m) : "";
  }
  const bool is_panel = drag_ == Drag::kNone && hover_.id.kind == render::PickId::Kind::kPanel && hover_.p_W &&
                        hover_.id.index < scene.wall.strips.size();
  if (!is_panel) return "";
  const Pose& X_WP = scene.wall.strips[hover_.id.index].X_WP;
  const Vec3 p_P = X_WP.R.transpose() * (Vec3(hover_.p_W->x, hover_.p_W->y, hover_.p_W->z) - X_WP.p);
  std::string text = describe_reach(*reach, static_cast<int>(hover_.id.index), p_P.x(), p_P.y());
  if (!text.empty()) text += fmt::format("\n{:.0f} mm across, {:.0f} mm up", 1e3 * p_P.x(), 1e3 * p_P.y());
  return text;
}

void ViewportPanel::explain_pointed(const PanelContext& context, bool is_hovered, const MarkRect& legend) const {
  constexpr const char* kScale =
      "Share that is used of what a hand or foot can hold in that direction, or of all strength: 100 % is the limit, "
      "what is over it does not hold. The same colours everywhere.";
  constexpr const char* kForce =
      "Force of the hold on the limb, N, at the scrubbed instant; the colour is the share used, the fan the directions "
      "in which it would not slide.";
  const ImVec2 mouse = ImGui::GetIO().MousePos;
  const bool is_in_legend = is_hovered && drag_ == Drag::kNone && mouse.x > legend.left && mouse.x < legend.right &&
                            mouse.y > legend.top && mouse.y < legend.bottom;
  const bool is_force = is_hovered && drag_ == Drag::kNone && hover_.id.kind == render::PickId::Kind::kArrow;
  if (is_in_legend) return show_tip(kScale);
  if (is_force) return show_tip(kForce);
  if (!is_hovered && drag_ == Drag::kNone) return;
  if (const std::string text = describe_place(context); !text.empty()) show_tip(text);
}

}  // namespace steepwright::viewer
