#include "viewer/render/convert.h"
#include "viewer/render/wall_mesh.h"
#include "viewer/scene_view/scene_view.h"

namespace steepwright::viewer {

namespace {

constexpr float kGripRadius_m = 0.03F;

void append_strip_grips(const wall::Wall& wall, const SceneLook& look, render::RenderScene& drawn) {
  const bool is_dark = look.theme == render::Theme::kDark;
  for (std::size_t i = 0; i < wall.strips.size(); ++i) {
    const bool is_hovered = look.hovered_edge == static_cast<int>(i);
    render::Ball ball;
    ball.p_W = render::to_glm(find_strip_grip(wall.strips[i]));
    ball.radius = is_hovered ? 1.4F * kGripRadius_m : kGripRadius_m;
    ball.color = render::Color(is_dark ? 0.75F : 0.35F);
    ball.is_outlined = is_hovered;
    ball.pick = {render::PickId::Kind::kPanelEdge, static_cast<std::uint32_t>(i)};
    drawn.balls.push_back(ball);
  }
}

}  // namespace

Vec3 find_strip_grip(const wall::Strip& strip) {
  constexpr double kOut_m = 0.02;
  return strip.X_WP * Vec3(-0.02, strip.length_m, kOut_m);
}

void append_wall_and_holds(const move::Scene& scene, const SceneLook& look, render::HoldMeshes& meshes,
                           render::RenderScene& drawn) {
  render::WallLook wall_look;
  wall_look.theme = look.theme;
  wall_look.outlined_strip = look.hovered_edge;
  render::append_wall(scene.wall, wall_look, drawn);
  if (look.has_grid) render::append_grid(scene.wall, look.theme, drawn);
  for (std::size_t i = 0; i < scene.holds.size(); ++i) {
    const int index = static_cast<int>(i);
    render::MeshInstance& instance = render::append_hold(scene.holds[i], index, meshes, drawn);
    instance.is_outlined = index == look.selected_hold || index == look.hovered_hold;
  }
  append_strip_grips(scene.wall, look, drawn);
}

}  // namespace steepwright::viewer
