#include "tests/viewer/render_scenes.h"

#include "engine/body/kinematics.h"
#include "engine/core/units.h"
#include "engine/figure/move_figure.h"
#include "engine/figure/skeleton.h"
#include "viewer/render/convert.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <stdexcept>
#include <utility>

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
  const vr::Color body = theme == vr::Theme::kDark ? vr::Color(0.68F, 0.69F, 0.70F) : vr::Color(0.42F, 0.43F, 0.45F);
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

namespace {

struct SampleHold {
  hold::Shape shape;
  const char* strip;
  double across_mm, up_mm, rotation_deg;
};

std::vector<SampleHold> list_sample_holds() {
  using hold::Family;
  using hold::Surface;
  return {
      {{"rail", Family::kEdge, Surface::kRawWood, 0.4, 0.045, 0.035, 0.030, 0.09, 0.006}, "main", 700, 1900, 0},
      {{"bucket", Family::kJug, Surface::kVarnishedWood, 0.16, 0.1, 0.07, 0.045, 0.35, 0.012}, "main", 1300, 1300, 20},
      {{"dome", Family::kSloper, Surface::kResinTexture, 0.22, 0.22, 0.09, 0.06, -0.4, 0.03}, "main", 1700, 1900, 0},
      {{"fin", Family::kPinch, Surface::kWornResin, 0.08, 0.2, 0.06, 0.04, 0.05, 0.008}, "main", 500, 1300, -25},
      {{"slot", Family::kPocket, Surface::kRawWood, 0.11, 0.09, 0.05, 0.03, 0.1, 0.006, 0.03, 3}, "main", 1100, 700, 0},
      {{"chip", Family::kFootChip, Surface::kGrit, 0.06, 0.03, 0.025, 0.02, 0.0, 0.004}, "main", 1500, 500, 0},
      {{"block", Family::kVolume, Surface::kPanel, 0.4, 0.3, 0.15, 0.1, -0.5, 0.006}, "slab", 500, 900, 0},
      {{"toe", Family::kFootChip, Surface::kRawWood, 0.06, 0.04, 0.035, 0.03, 0.0, 0.004}, "kicker", 900, 200, 0},
  };
}

}  // namespace

move::Scene make_sample_scene() {
  const wall::Lattice lattice;
  const wall::Joists joists = {.spacing_m = 0.6};
  const auto strip = [&](const char* name, double angle_deg, double width_m, double length_m) {
    wall::Strip made;
    made.name = name;
    made.angle = rad_from_deg(angle_deg);
    made.width_m = width_m;
    made.length_m = length_m;
    made.joists = joists;
    if (length_m > 0.5) made.lattice = lattice;
    return made;
  };
  move::Scene scene;
  scene.wall =
      wall::make_wall("sample",
                      {{strip("kicker", 0, 2.2, 0.35), strip("main", 35, 2.2, 2.4), strip("lid", 80, 2.2, 0.6)},
                       {strip("slab", -5, 1.0, 2.6)}},
                      wall::Room{Vec3(-1.0, -4.5, 0.0), Vec3(4.0, 1.2, 3.2)});
  for (const SampleHold& sample : list_sample_holds()) {
    move::PlacedHold placed;
    placed.name = placed.model = sample.shape.name;
    placed.strip = scene.wall.find_strip(sample.strip);
    placed.across_m = m_from_mm(sample.across_mm);
    placed.up_m = m_from_mm(sample.up_mm);
    placed.rotation = rad_from_deg(sample.rotation_deg);
    if (has_errors(hold::check_shape(sample.shape)))
      throw std::logic_error(to_text(hold::check_shape(sample.shape).front()));
    placed.hold = hold::make_hold(sample.shape);
    placed.X_WH = wall::find_pose_on_strip(scene.wall.strips[static_cast<std::size_t>(placed.strip)], placed.across_m,
                                           placed.up_m, placed.rotation);
    scene.holds.push_back(std::move(placed));
  }
  return scene;
}

figure::Figure make_posed_figure(const move::Scene& scene) {
  const body::Body body = body::make_body(scene.climber.measures);
  move::Frame frame;
  frame.posture.p_WB = Vec3(1.1, -1.05, 1.15);
  frame.posture.R_WB = Eigen::AngleAxisd(0.6, Vec3::UnitX()).toRotationMatrix();
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
    arrow.vector_W = Vec3(i % 2 == 0 ? -0.2 : 0.2, -0.1, 0.3);
    arrow.use = kUses[i];
    figure.arrows.push_back(arrow);
  }
  return figure;
}

}  // namespace steepwright::tests
