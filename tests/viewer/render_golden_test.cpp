/// Six views against stored pictures. STEEPWRIGHT_WRITE_GOLDEN=1 writes them anew: look at every one before it is kept.

#include "tests/viewer/render_scenes.h"
#include "viewer/picture/png.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <string>
#include <vector>

namespace steepwright::tests {
namespace {

namespace vr = viewer::render;

constexpr int kWidth_px = 480;
constexpr int kHeight_px = 320;
const std::filesystem::path kGolden = std::filesystem::path(STEEPWRIGHT_SOURCE_DIR) / "tests/viewer/golden";

// llvmpipe draws the same bytes on one machine whatever its threads; other drivers and vector widths round otherwise,
// along edges above all. A hold that is missing or moved by two pixels fails these, and so do missing T-nuts: those
// alone are 0.14 % of the climber's-eye view.
constexpr double kMeanTolerance = 0.5;       // of 255, over all channels
constexpr int kPixelTolerance = 40;          // of 255; pixels that differ more count as wrong
constexpr double kMostWrongPixels = 0.0008;  // share

struct Difference {
  double mean = 0.0;
  double wrong_share = 0.0;
};

Difference compare(const viewer::Image& a, const viewer::Image& b) {
  Difference difference;
  std::size_t n_wrong = 0;
  const std::size_t n_pixels = a.rgba.size() / 4;
  for (std::size_t i = 0; i < n_pixels; ++i) {
    int largest = 0;
    for (std::size_t c = 0; c < 3; ++c) {
      const int apart = std::abs(int{a.rgba[4 * i + c]} - int{b.rgba[4 * i + c]});
      difference.mean += apart;
      largest = std::max(largest, apart);
    }
    if (largest > kPixelTolerance) ++n_wrong;
  }
  difference.mean /= 3.0 * static_cast<double>(n_pixels);
  difference.wrong_share = static_cast<double>(n_wrong) / static_cast<double>(n_pixels);
  return difference;
}

struct GoldenView {
  const char* name;
  viewer::Camera camera;
  vr::Theme theme = vr::Theme::kDark;
  bool has_figure = true;
  bool has_overlays = false;
};

std::vector<GoldenView> list_views(const move::Scene& scene) {
  const viewer::Viewport viewport{kWidth_px, kHeight_px};
  const viewer::Box box = vr::find_wall_box(scene.wall);
  viewer::Camera close = viewer::make_open_view(viewport, box);
  close.target_W = {0.75, -1.0, 1.55};
  close.distance_m = 1.6;
  close.pitch = -0.2;
  const viewer::Camera open = viewer::make_open_view(viewport, vr::find_wall_corners(scene.wall));
  return {{"open", open},
          {"open-light", open, vr::Theme::kLight, true, true},
          {"front", viewer::make_front_view(viewport, box)},
          {"side", viewer::make_side_view(viewport, box, true), vr::Theme::kLight},
          {"climbers-eye", viewer::make_climbers_eye_view({0.9, -1.9, 1.2}, {1.2, -1.2, 1.9})},
          {"close", close, vr::Theme::kDark, false, true}};
}

/// Grid, path of the centre of mass with its plumb line, reach contours: what lies over the scene.
void append_overlays(const move::Scene& scene, vr::Theme theme, vr::RenderScene& drawn) {
  vr::append_grid(scene.wall, theme, drawn);
  for (int i = 0; i < 12; ++i) {
    const auto at = [](int k) {
      return glm::vec3(1.5F + 0.02F * static_cast<float>(k), -1.1F, 1.0F + 0.05F * static_cast<float>(k));
    };
    vr::LinePiece piece;
    piece.pA_W = at(i);
    piece.pB_W = at(i + 1);
    piece.width_px = 4.0F;
    piece.use_A = static_cast<float>(i) / 12.0F;
    piece.use_B = static_cast<float>(i + 1) / 12.0F;
    drawn.lines.push_back(piece);
  }
  vr::LinePiece plumb;
  plumb.pA_W = {1.74F, -1.1F, 1.6F};
  plumb.pB_W = {1.74F, -1.1F, 0.0F};
  plumb.dash_px = 5.0F;
  plumb.is_on_top = true;
  drawn.lines.push_back(plumb);
  const Pose& X_WP = scene.wall.strips[1].X_WP;
  drawn.begin_band(true);
  const auto corner = [&X_WP](double across_m, double up_m, float use) {
    const Vec3 p_W = X_WP * Vec3(across_m, up_m, 0.0);
    vr::BandVertex vertex;
    vertex.p_W = {static_cast<float>(p_W.x()), static_cast<float>(p_W.y()), static_cast<float>(p_W.z())};
    vertex.use = use;
    vertex.opacity = 0.5F;
    return vertex;
  };
  drawn.add_band_triangle(corner(0.9, 1.5, 0.1F), corner(2.0, 1.5, 0.5F), corner(2.0, 2.2, 0.9F));
  drawn.add_band_triangle(corner(0.9, 1.5, 0.1F), corner(2.0, 2.2, 0.9F), corner(0.9, 2.2, 0.5F));
  vr::Limb ghost;
  ghost.pA_W = {1.9F, -1.2F, 0.8F};
  ghost.pB_W = {1.9F, -1.3F, 1.3F};
  ghost.radius_A = 0.09F;
  ghost.radius_B = 0.05F;
  ghost.opacity = 0.4F;
  drawn.limbs.push_back(ghost);
}

vr::RenderScene make_scene(const move::Scene& scene, const GoldenView& view, vr::HoldMeshes& meshes) {
  vr::RenderScene drawn = make_wall_scene(scene, view.theme, meshes);
  if (view.has_figure) append_figure(make_posed_figure(scene), view.theme, drawn);
  if (view.has_overlays) append_overlays(scene, view.theme, drawn);
  for (vr::MeshInstance& instance : drawn.meshes) {
    if (instance.pick == vr::PickId{vr::PickId::Kind::kHold, 1}) instance.is_outlined = true;
  }
  return drawn;
}

TEST(Pictures, SixViewsLookAsTheyDid) {
  OffscreenRenderer off;
  ASSERT_NE(off.renderer, nullptr) << off.failure;
  const bool writes = std::getenv("STEEPWRIGHT_WRITE_GOLDEN") != nullptr;
  const move::Scene scene = make_sample_scene();
  vr::HoldMeshes meshes;
  for (const GoldenView& view : list_views(scene)) {
    SCOPED_TRACE(view.name);
    off.renderer->draw(make_scene(scene, view, meshes), view.camera,
                       vr::make_render_options(view.theme, kWidth_px, kHeight_px));
    viewer::Image image;
    off.renderer->read_pixels(image);
    const std::filesystem::path path = kGolden / (std::string(view.name) + ".png");
    if (writes) {
      std::filesystem::create_directories(kGolden);
      ASSERT_TRUE(viewer::save_png(path, image).has_value());
      continue;
    }
    const auto golden = viewer::load_png(path);
    ASSERT_TRUE(golden.has_value()) << to_text(golden.error().front());
    ASSERT_EQ(golden->width_px, image.width_px);
    ASSERT_EQ(golden->height_px, image.height_px);
    const Difference difference = compare(image, *golden);
    const bool is_same = difference.mean <= kMeanTolerance && difference.wrong_share <= kMostWrongPixels;
    EXPECT_TRUE(is_same) << "mean difference " << difference.mean << " of 255, " << 100.0 * difference.wrong_share
                         << " % of the pixels differ clearly";
    if (!is_same) {
      const auto shown = std::filesystem::temp_directory_path() / (std::string("steepwright-") + view.name + ".png");
      if (viewer::save_png(shown, image)) ADD_FAILURE() << "the picture as it is now: " << shown;
    }
  }
  EXPECT_THAT(off.complaints, testing::IsEmpty());
}

}  // namespace
}  // namespace steepwright::tests
