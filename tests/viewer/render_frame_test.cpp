/// What a frame costs and promises: allocations, GL errors, edges, sizes.

#include "tests/support/malloc_guard.h"
#include "tests/viewer/render_scenes.h"

#include <epoxy/gl.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>

namespace steepwright::tests {
namespace {

namespace vr = viewer::render;

vr::RenderOptions small_options() { return vr::make_render_options(vr::Theme::kDark, 96, 64); }

TEST(Renderer, AllocatesNothingAfterWarmUp) {
  OffscreenRenderer off;
  ASSERT_NE(off.renderer, nullptr) << off.failure;
  const move::Scene scene = make_sample_scene();
  vr::HoldMeshes meshes;
  vr::RenderScene fixed = make_wall_scene(scene, vr::Theme::kDark, meshes);
  vr::append_grid(scene.wall, vr::Theme::kDark, fixed);
  fixed.meshes.front().is_outlined = true;
  vr::RenderScene figure;
  append_figure(make_posed_figure(scene), vr::Theme::kDark, figure);
  figure.limbs.front().opacity = 0.5F;
  figure.begin_band(true);
  figure.add_band_triangle({}, {{1.0F, 0.0F, 0.0F}}, {{0.0F, 0.0F, 1.0F}});

  const viewer::Viewport view{96.0, 64.0};
  viewer::Camera camera = viewer::make_open_view(view, vr::find_wall_box(scene.wall));
  vr::RenderScene frame;
  viewer::Image image;
  const auto draw = [&] {
    frame.clear();
    append(frame, fixed);
    append(frame, figure);
    camera = viewer::orbit(camera, view, {0.5, 0.1});
    off.renderer->draw(frame, camera, small_options());
    off.renderer->read_pixels(image);
    return off.renderer->pick(camera, small_options(), 48, 32, 3);
  };
  for (int i = 0; i < 3; ++i) (void)draw();
  const std::size_t before = allocation_count();
  for (int i = 0; i < 10; ++i) (void)draw();
  EXPECT_EQ(allocation_count() - before, 0U);
  EXPECT_THAT(off.complaints, testing::IsEmpty());
}

// The callback that the other tests hang on does hear errors, with and without the driver's debug output.
TEST(GlErrors, ReachTheHandler) {
  for (const bool is_debug : {true, false}) {
    auto context = viewer::gl::make_surfaceless_context({.is_debug = is_debug});
    ASSERT_TRUE(context.has_value()) << to_text(context.error().front());
    std::vector<std::string> complaints;
    (*context)->set_error_handler([&](std::string_view message) { complaints.emplace_back(message); });
    (*context)->check_errors("start");
    EXPECT_THAT(complaints, testing::IsEmpty());
    glEnable(GL_TEXTURE_BINDING_2D);  // no capability
    (*context)->check_errors("test's pass");
    ASSERT_THAT(complaints, testing::SizeIs(1)) << "debug " << is_debug;
    if (!is_debug) {
      EXPECT_EQ(complaints.front(), "invalid enum in the test's pass");
    }
  }
}

// A face slanted against the pixels: with four samples its edge has shades between face and background.
TEST(Renderer, SamplesSmoothEdges) {
  OffscreenRenderer off;
  ASSERT_NE(off.renderer, nullptr) << off.failure;
  vr::RenderScene scene;
  vr::Limb limb;
  limb.pA_W = {-0.3F, 0.0F, -0.6F};
  limb.pB_W = {0.3F, 0.0F, 0.6F};
  limb.radius_A = limb.radius_B = 0.2F;
  limb.use_A = limb.use_B = 1.0F;
  scene.limbs.push_back(limb);
  viewer::Camera camera;
  camera.target_W = {0.0, 0.0, 0.0};
  vr::RenderOptions options = small_options();
  options.background_top = options.background_bottom = vr::Color(0.0F);
  const auto count_between = [&](int samples) {
    options.samples = samples;
    viewer::Image image;
    off.renderer->draw(scene, camera, options);
    off.renderer->read_pixels(image);
    int n = 0;
    for (std::size_t i = 0; i < image.rgba.size(); i += 4) {
      // The face is bright yellow, the background black.
      if (image.rgba[i] > 20 && image.rgba[i] < 150) ++n;
    }
    return n;
  };
  EXPECT_LE(count_between(1), 2);
  EXPECT_GT(count_between(4), 20);
  EXPECT_THAT(off.complaints, testing::IsEmpty());
}

// Light: the same panel is the darker the more it overhangs, and a body before it throws a shadow on it.
TEST(Renderer, OverhangReadsByItsShade) {
  OffscreenRenderer off;
  ASSERT_NE(off.renderer, nullptr) << off.failure;
  viewer::Image image;
  const auto brightness = [&](double angle_deg, bool has_body) {
    wall::Strip strip;
    strip.angle = angle_deg * 3.14159265 / 180.0;
    strip.width_m = 2.0;
    strip.length_m = 2.0;
    const wall::Wall wall = wall::make_wall("one", {{strip}}, std::nullopt);
    vr::RenderScene scene;
    vr::append_wall(wall, {.mat_thickness_m = 0.0}, scene);
    if (has_body) {
      // Towards the light from the middle of the panel, out of the line of sight.
      vr::Ball ball;
      ball.p_W = glm::vec3(1.0F, 0.0F, 1.0F) + 0.9F * glm::normalize(glm::vec3(-0.62F, -0.95F, 0.36F));
      ball.radius = 0.25F;
      scene.balls.push_back(ball);
    }
    viewer::Camera camera;
    camera.target_W = glm::dvec3(1.0, -std::sin(strip.angle), std::cos(strip.angle));
    camera.distance_m = 3.0;
    off.renderer->draw(scene, camera, small_options());
    off.renderer->read_pixels(image);
    return int{image.pixel(48, 32)[1]};
  };
  EXPECT_GT(brightness(0.0, false), brightness(30.0, false) + 8);
  EXPECT_GT(brightness(30.0, false), brightness(60.0, false) + 8);
  EXPECT_LT(brightness(0.0, true), brightness(0.0, false) - 25);
  EXPECT_THAT(off.complaints, testing::IsEmpty());
}

TEST(Renderer, DropsMeshesThatNobodyHolds) {
  OffscreenRenderer off;
  ASSERT_NE(off.renderer, nullptr) << off.failure;
  vr::RenderScene scene;
  for (int i = 0; i < 3; ++i) {
    auto mesh = std::make_shared<vr::MeshData>();
    mesh->positions = {{0.0F, 0.0F, 0.0F}, {1.0F, 0.0F, 0.0F}, {0.0F, 0.0F, 1.0F}};
    mesh->normals.assign(3, {0.0F, -1.0F, 0.0F});
    mesh->indices = {0, 1, 2};
    scene.meshes.push_back({.mesh = mesh});
  }
  off.renderer->draw(scene, {}, small_options());
  EXPECT_EQ(off.renderer->counts().meshes_on_gpu, 3);
  EXPECT_EQ(off.renderer->counts().triangles, 3);
  scene.meshes.resize(1);
  off.renderer->draw(scene, {}, small_options());
  EXPECT_EQ(off.renderer->counts().meshes_on_gpu, 1);
  // Sizes of a window: tiny, then other; nothing to draw.
  for (const int size : {0, 1, 33}) {
    off.renderer->draw({}, {}, vr::make_render_options(vr::Theme::kLight, size, size));
    viewer::Image image;
    off.renderer->read_pixels(image);
    EXPECT_EQ(image.width_px, std::max(size, 1));
  }
  off.renderer->draw({}, {}, vr::make_render_options(vr::Theme::kLight, 1 << 20, 1));
  viewer::Image widest;
  off.renderer->read_pixels(widest);
  EXPECT_EQ(widest.width_px, off.context->info().most_size_px);
  EXPECT_THAT(off.complaints, testing::IsEmpty());
}

}  // namespace
}  // namespace steepwright::tests
