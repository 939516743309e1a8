#include "tests/viewer/render_scenes.h"
#include "viewer/render/convert.h"
#include "viewer/render/panel_ray.h"
#include "viewer/render/picker.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace steepwright::tests {
namespace {

namespace vr = viewer::render;

constexpr viewer::Viewport kView{480.0, 320.0};

glm::ivec2 pixel_of(const viewer::Camera& camera, const Vec3& p_W) {
  const auto pixel = viewer::find_pixel(camera, kView, vr::to_dvec3(p_W));
  return pixel ? glm::ivec2(glm::floor(*pixel)) : glm::ivec2(-1);
}

// Ids and depths from the GPU against geometry from the CPU.
TEST(Picking, SaysWhatIsSeenAtAPixelAndWhere) {
  OffscreenRenderer off;
  ASSERT_NE(off.renderer, nullptr) << off.failure;
  const move::Scene scene = make_sample_scene();
  vr::HoldMeshes meshes;
  vr::RenderScene drawn = make_wall_scene(scene, vr::Theme::kDark, meshes);
  const vr::RenderOptions options = vr::make_render_options(vr::Theme::kDark, 480, 320);
  const viewer::Camera front = viewer::make_front_view(kView, vr::find_wall_box(scene.wall));
  viewer::Camera open = viewer::make_open_view(kView, vr::find_wall_box(scene.wall));

  for (const viewer::Camera& camera : {front, open}) {
    off.renderer->draw(drawn, front, options);
    // The middles of holds, over the panel by half their thickness.
    for (const std::size_t i : {std::size_t{1}, std::size_t{2}}) {
      const Vec3 p_W = scene.holds[i].X_WH * Vec3(0.0, 0.0, 0.5 * scene.holds[i].hold.shape.protrusion_m);
      const glm::ivec2 pixel = pixel_of(camera, p_W);
      const vr::PickResult picked = off.renderer->pick(camera, options, pixel.x, pixel.y);
      EXPECT_EQ(picked.id, (vr::PickId{vr::PickId::Kind::kHold, static_cast<std::uint32_t>(i)})) << scene.holds[i].name;
    }
    // Bare panel: the point agrees with the ray's.
    const Vec3 p_W = scene.wall.strips[1].X_WP * Vec3(0.3, 0.5, 0.0);
    const glm::ivec2 pixel = pixel_of(camera, p_W);
    const vr::PickResult picked = off.renderer->pick(camera, options, pixel.x, pixel.y);
    EXPECT_EQ(picked.id, (vr::PickId{vr::PickId::Kind::kPanel, 1U}));
    const viewer::Ray ray = viewer::find_ray(camera, kView, glm::dvec2(pixel) + 0.5);
    const auto point = vr::find_panel_point(scene.wall, ray);
    ASSERT_TRUE(point.has_value());
    EXPECT_EQ(point->strip, 1);
    ASSERT_TRUE(picked.p_W.has_value());
    EXPECT_LT(glm::distance(*picked.p_W, ray.p_W + point->distance_m * ray.direction_W), 5e-4);
  }

  // A limb and an arrow before the wall; two pixels beside it the arrow still answers, but only when asked to reach.
  vr::Limb limb;
  limb.pA_W = {0.5F, -2.0F, 0.8F};
  limb.pB_W = {0.5F, -2.0F, 1.2F};
  limb.radius_A = limb.radius_B = 0.05F;
  limb.pick = {vr::PickId::Kind::kLimb, 3};
  drawn.limbs.push_back(limb);
  vr::Arrow arrow;
  arrow.p_W = {1.5F, -2.0F, 0.8F};
  arrow.vector_W = {0.0F, 0.0F, 0.5F};
  arrow.pick = {vr::PickId::Kind::kArrow, 2};
  drawn.arrows.push_back(arrow);
  off.renderer->draw(drawn, front, options);
  const glm::ivec2 on_limb = pixel_of(front, {0.5, -2.0, 1.0});
  EXPECT_EQ(off.renderer->pick(front, options, on_limb.x, on_limb.y).id, limb.pick);
  const glm::ivec2 on_arrow = pixel_of(front, {1.5, -2.0, 0.9});
  EXPECT_EQ(off.renderer->pick(front, options, on_arrow.x, on_arrow.y).id, arrow.pick);
  EXPECT_EQ(off.renderer->pick(front, options, on_arrow.x + 5, on_arrow.y).id.kind, vr::PickId::Kind::kPanel);
  EXPECT_EQ(off.renderer->pick(front, options, on_arrow.x + 5, on_arrow.y, 6).id, arrow.pick);

  // Nothing at all.
  off.renderer->draw({}, front, options);
  const vr::PickResult nothing = off.renderer->pick(front, options, 10, 10);
  EXPECT_EQ(nothing.id, vr::PickId{});
  EXPECT_FALSE(nothing.p_W.has_value());
  EXPECT_THAT(off.complaints, testing::IsEmpty());
}

TEST(Picking, IdsSurvivePacking) {
  for (const vr::PickId& id : {vr::PickId{vr::PickId::Kind::kHold, 0U}, vr::PickId{vr::PickId::Kind::kOther, 0xFFFFFFU},
                               vr::PickId{vr::PickId::Kind::kLimb, 1999U}})
    EXPECT_EQ(vr::unpack_pick_id(vr::pack(id)), id);
}

// Square to the face from 2 m before it, then straight on.
TEST(PanelRay, MeetsThePanelWhereItIsAimed) {
  const move::Scene scene = make_sample_scene();
  for (std::size_t i = 0; i < scene.wall.strips.size(); ++i) {
    const wall::Strip& strip = scene.wall.strips[i];
    const Vec3 p_W = strip.X_WP * Vec3(0.4 * strip.width_m, 0.7 * strip.length_m, 0.05);
    const viewer::Ray ray{vr::to_dvec3(p_W), vr::to_dvec3(Vec3(-strip.X_WP.R.col(2)))};
    const auto point = vr::find_panel_point(scene.wall, ray);
    ASSERT_TRUE(point.has_value()) << strip.name;
    EXPECT_EQ(point->strip, static_cast<int>(i));
    EXPECT_NEAR(point->across_m, 0.4 * strip.width_m, 1e-9);
    EXPECT_NEAR(point->up_m, 0.7 * strip.length_m, 1e-9);
    EXPECT_NEAR(point->distance_m, 0.05, 1e-9);
  }
}

TEST(PanelRay, MissesFromBehindAndPastTheEdge) {
  const move::Scene scene = make_sample_scene();
  const viewer::Ray from_behind{{1.0, 5.0, 1.0}, {0.0, -1.0, 0.0}};
  EXPECT_FALSE(vr::find_panel_point(scene.wall, from_behind).has_value());
  const viewer::Ray beside{{-0.5, -3.0, 1.0}, {0.0, 1.0, 0.0}};
  EXPECT_FALSE(vr::find_panel_point(scene.wall, beside).has_value());
  // A drag may leave the panel: the plane goes on.
  const auto past = vr::find_point_on_strip(scene.wall, 1, beside);
  ASSERT_TRUE(past.has_value());
  EXPECT_NEAR(past->across_m, -0.5, 1e-9);
  EXPECT_FALSE(vr::find_point_on_strip(scene.wall, 99, beside).has_value());
}

}  // namespace
}  // namespace steepwright::tests
