#include "tests/viewer/render_scenes.h"

#include "engine/body/kinematics.h"
#include "engine/core/units.h"
#include "engine/figure/move_figure.h"
#include "engine/figure/skeleton.h"
#include "viewer/render/convert.h"

#include <algorithm>
#include <array>
#include <cstdint>

namespace steepwright::tests {

namespace vr = viewer::render;

OffscreenRenderer::OffscreenRenderer() {
  auto made = viewer::gl::make_surfaceless_context({.is_debug = true});
  if (!made) {
    failure = to_text(made.error().front());
    return;
  }
  context = std::move(*made);
  context->set_error_handler([this](std::string_view message) { complaints.emplace_back(message); });
  auto drawn_by = vr::Renderer::make(*context);
  if (!drawn_by) {
    failure = to_text(drawn_by.error().front());
    return;
  }
  renderer = std::move(*drawn_by);
}

vr::RenderScene make_wall_scene(const move::Scene& scene, vr::Theme theme, vr::HoldMeshes& meshes) {
  vr::RenderScene drawn;
  vr::append_wall(scene.wall, {.theme = theme}, drawn);
  for (std::size_t i = 0; i < scene.holds.size(); ++i)
    vr::append_hold(scene.holds[i], static_cast<int>(i), meshes, drawn);
  return drawn;
}

void append_figure(const figure::Figure& figure, vr::Theme theme, vr::RenderScene& scene) {
  const vr::Color body = theme == vr::Theme::kDark ? vr::Color(0.78F, 0.79F, 0.80F) : vr::Color(0.42F, 0.43F, 0.45F);
  std::uint32_t n_limbs = 0;
  for (const figure::Tube& tube : figure.tubes) {
    vr::Limb limb;
    limb.pA_W = vr::to_glm(tube.pA_W);
    limb.pB_W = vr::to_glm(tube.pB_W);
    limb.radius_A = static_cast<float>(tube.radius_A);
    limb.radius_B = static_cast<float>(tube.radius_B);
    limb.color = body;
    limb.pick = {vr::PickId::Kind::kLimb, n_limbs++};
    scene.limbs.push_back(limb);
  }
  for (const figure::Ball& ball : figure.balls) {
    if (ball.role != figure::Role::kHead && ball.role != figure::Role::kCom) continue;
    vr::Ball drawn;
    drawn.p_W = vr::to_glm(ball.p_W);
    drawn.radius = static_cast<float>(ball.radius_m);
    drawn.material = vr::Material::kSkin;
    drawn.color = ball.role == figure::Role::kHead ? body : vr::Color(0.95F);
    scene.balls.push_back(drawn);
  }
  std::uint32_t n_arrows = 0;
  for (const figure::Arrow& arrow : figure.arrows) {
    vr::Arrow drawn;
    drawn.p_W = vr::to_glm(arrow.p_W);
    drawn.vector_W = vr::to_glm(arrow.vector_W);
    drawn.radius = 0.011F;
    drawn.use = static_cast<float>(arrow.use);
    drawn.pick = {vr::PickId::Kind::kArrow, n_arrows++};
    scene.arrows.push_back(drawn);
  }
}

figure::Figure make_posed_figure(const move::Scene& scene) {
  const body::Body body = body::make_body(scene.climber.measures);
  move::Frame frame;
  frame.posture.p_WB = Vec3(1.2, -0.75, 1.25);
  frame.posture.R_WB = Eigen::AngleAxisd(0.35, Vec3::UnitX()).toRotationMatrix();
  frame.posture.angles = body::DofVector::Zero(body.tree.n_hinges());
  const auto turn = [&](const char* hinge, double angle_deg) {
    const int index = body.tree.find_hinge(hinge);
    if (index >= 0) frame.posture.angles[index] = rad_from_deg(angle_deg);
  };
  for (const std::string side : {"left ", "right "}) {
    turn((side + "shoulder flexion").c_str(), side == "left " ? 150.0 : 115.0);
    turn((side + "elbow flexion").c_str(), side == "left " ? 15.0 : 70.0);
    turn((side + "hip flexion").c_str(), side == "left " ? 60.0 : 85.0);
    turn((side + "hip abduction").c_str(), 25.0);
    turn((side + "knee flexion").c_str(), side == "left " ? 70.0 : 95.0);
  }
  body::Kinematics kinematics;
  body::update_kinematics(body.tree, frame.posture, kinematics);
  body::update_mass_sums(body.tree, kinematics);
  frame.p_Wcm = kinematics.p_Wcm;
  figure::Figure figure =
      figure::make_frame_figure(body, figure::make_skeleton(body), frame, 0, figure::MoveFigureOptions{});
  constexpr std::array<double, 4> kUses = {0.35, 0.85, 0.1, 1.2};
  constexpr std::array<const char*, 4> kLimbSegments = {"left hand", "right hand", "left foot", "right foot"};
  for (std::size_t i = 0; i < kUses.size(); ++i) {
    const int segment = body.tree.find_segment(kLimbSegments[i]);
    if (segment < 0) continue;
    figure::Arrow arrow;
    arrow.p_W = body::find_position(kinematics, segment, Vec3::Zero());
    arrow.vector_W = Vec3(0.0, i < 2 ? 0.15 : -0.1, 0.3);
    arrow.use = kUses[i];
    figure.arrows.push_back(arrow);
  }
  return figure;
}

}  // namespace steepwright::tests
