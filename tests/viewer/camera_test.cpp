#include "viewer/camera/camera.h"

#include "engine/core/random.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>

namespace steepwright::viewer {
namespace {

constexpr Viewport kView{1200.0, 800.0};
constexpr double kNear_px = 1e-6;
const Box kWall{{0.0, -1.8, 0.0}, {2.4, 0.2, 3.0}};

Camera draw_camera(RandomStream& random) {
  Camera camera;
  camera.target_W = {random.uniform(-1.0, 3.0), random.uniform(-2.0, 1.0), random.uniform(0.0, 3.0)};
  camera.yaw = random.uniform(-3.1, 3.1);
  camera.pitch = random.uniform(-1.4, 1.4);
  camera.distance_m = random.uniform(0.3, 12.0);
  if (random.uniform() < 0.5) camera.projection = Camera::Projection::kParallel;
  return camera;
}

glm::dvec2 pixel_of(const Camera& camera, const glm::dvec3& p_W) {
  return find_pixel(camera, kView, p_W).value_or(glm::dvec2(1e9));
}

glm::dvec3 draw_visible_point(RandomStream& random, const Camera& camera) {
  const Ray ray = find_ray(camera, kView, {random.uniform(0.0, 1200.0), random.uniform(0.0, 800.0)});
  const double base_m = camera.projection == Camera::Projection::kParallel ? 60.0 : 0.0;
  return ray.p_W + (base_m + camera.distance_m * random.uniform(0.5, 1.5)) * ray.direction_W;
}

TEST(Camera, LooksIntoTheWallWhenNotTurned) {
  const ViewAxes axes = find_axes(Camera{});
  EXPECT_NEAR(glm::distance(axes.right, {1.0, 0.0, 0.0}), 0.0, 1e-12);
  EXPECT_NEAR(glm::distance(axes.up, {0.0, 0.0, 1.0}), 0.0, 1e-12);
  EXPECT_NEAR(glm::distance(axes.forward, {0.0, 1.0, 0.0}), 0.0, 1e-12);
}

// The matrices that GL uses and the pixel that the CPU computes are two roads to one place.
TEST(Camera, MatricesAndPixelsAgree) {
  RandomStream random(1);
  for (int i = 0; i < 200; ++i) {
    const Camera camera = draw_camera(random);
    const glm::dvec3 p_W = draw_visible_point(random, camera);
    const glm::dvec4 clip = find_projection_matrix(camera, kView) * find_view_matrix(camera) * glm::dvec4(p_W, 1.0);
    const glm::dvec2 from_matrix(0.5 * (clip.x / clip.w + 1.0) * kView.width_px,
                                 0.5 * (1.0 - clip.y / clip.w) * kView.height_px);
    EXPECT_LT(glm::distance(from_matrix, pixel_of(camera, p_W)), kNear_px);
    EXPECT_LT(std::abs(clip.z / clip.w), 1.0) << "outside the near and far planes";
  }
}

TEST(Camera, RayOfAPixelIsSeenAtThatPixel) {
  RandomStream random(2);
  for (int i = 0; i < 200; ++i) {
    const Camera camera = draw_camera(random);
    const glm::dvec2 pixel(random.uniform(0.0, 1200.0), random.uniform(0.0, 800.0));
    const Ray ray = find_ray(camera, kView, pixel);
    EXPECT_NEAR(glm::length(ray.direction_W), 1.0, 1e-12);
    EXPECT_LT(glm::distance(pixel_of(camera, ray.p_W + 70.0 * ray.direction_W), pixel), 1e-5);
  }
}

TEST(Camera, PointBehindTheEyeIsNotSeen) {
  const Camera camera;
  EXPECT_FALSE(find_pixel(camera, kView, find_eye(camera) - find_axes(camera).forward).has_value());
}

TEST(Camera, ZoomKeepsWhatIsUnderTheCursor) {
  RandomStream random(3);
  for (int i = 0; i < 200; ++i) {
    const Camera camera = draw_camera(random);
    const glm::dvec3 p_W = draw_visible_point(random, camera);
    const glm::dvec2 cursor = pixel_of(camera, p_W);
    const Camera zoomed = zoom_to_cursor(camera, kView, random.uniform(0.5, 1.5), cursor, p_W);
    EXPECT_LT(glm::distance(pixel_of(zoomed, p_W), cursor), 1e-5);
  }
}

TEST(Camera, ZoomStopsAtItsLimits) {
  Camera camera;
  for (int i = 0; i < 200; ++i) camera = zoom_to_cursor(camera, kView, 0.5, {300.0, 200.0});
  EXPECT_DOUBLE_EQ(camera.distance_m, kLeastDistance_m);
  for (int i = 0; i < 200; ++i) camera = zoom_to_cursor(camera, kView, 2.0, {300.0, 200.0});
  EXPECT_DOUBLE_EQ(camera.distance_m, kMostDistance_m);
}

TEST(Camera, PannedPointFollowsTheCursor) {
  RandomStream random(4);
  for (int i = 0; i < 200; ++i) {
    const Camera camera = draw_camera(random);
    const glm::dvec3 p_W = draw_visible_point(random, camera);
    const glm::dvec2 drag(random.uniform(-50.0, 50.0), random.uniform(-50.0, 50.0));
    const Camera moved = pan(camera, kView, drag, p_W);
    EXPECT_LT(glm::distance(pixel_of(moved, p_W), pixel_of(camera, p_W) + drag), 1e-6);
  }
}

TEST(Camera, OrbitKeepsThePivotInPlace) {
  RandomStream random(5);
  for (int i = 0; i < 200; ++i) {
    const Camera camera = draw_camera(random);
    const glm::dvec3 pivot = draw_visible_point(random, camera);
    const Camera turned = orbit_about(camera, kView, {random.uniform(-80.0, 80.0), random.uniform(-40.0, 40.0)}, pivot);
    EXPECT_LT(glm::distance(pixel_of(turned, pivot), pixel_of(camera, pivot)), 1e-5);
  }
}

TEST(Camera, OrbitNeverTipsOver) {
  Camera camera;
  for (int i = 0; i < 50; ++i) camera = orbit(camera, kView, {13.0, 90.0});
  EXPECT_LE(camera.pitch, kMostPitch);
  EXPECT_GT(find_axes(camera).up.z, 0.0);
}

// The tightest view: all corners inside the margin, and one touching it on each side of at least one axis.
TEST(Camera, FitShowsTheWholeBoxAndNoLess) {
  RandomStream random(6);
  constexpr double kMargin = 0.06;
  for (int i = 0; i < 200; ++i) {
    const Camera fitted = fit(draw_camera(random), kView, kWall, kMargin);
    glm::dvec2 lower(1e9);
    glm::dvec2 upper(-1e9);
    for (const glm::dvec3& corner : corners_of(kWall)) {
      lower = glm::min(lower, pixel_of(fitted, corner));
      upper = glm::max(upper, pixel_of(fitted, corner));
    }
    const glm::dvec2 size(kView.width_px, kView.height_px);
    const glm::dvec2 share = (upper - lower) / ((1.0 - 2.0 * kMargin) * size);
    EXPECT_GE(lower.x, kMargin * size.x - 1e-6);
    EXPECT_GE(lower.y, kMargin * size.y - 1e-6);
    EXPECT_LE(upper.x, (1.0 - kMargin) * size.x + 1e-6);
    EXPECT_LE(upper.y, (1.0 - kMargin) * size.y + 1e-6);
    EXPECT_NEAR(std::max(share.x, share.y), 1.0, 1e-6);
  }
}

// An overhanging panel stands aslant in its box: fitted by its corners it is seen larger.
TEST(Camera, FitToPointsIsTighterThanToTheirBox) {
  const std::array<glm::dvec3, 4> panel = {{{0.0, 0.0, 0.0}, {2.4, 0.0, 0.0}, {0.0, -1.8, 3.0}, {2.4, -1.8, 3.0}}};
  const Camera by_box = make_open_view(kView, Box{{0.0, -1.8, 0.0}, {2.4, 0.0, 3.0}});
  const Camera by_points = make_open_view(kView, panel);
  EXPECT_LT(by_points.distance_m, 0.95 * by_box.distance_m);
  for (const glm::dvec3& corner : panel) {
    const glm::dvec2 pixel = pixel_of(by_points, corner);
    EXPECT_TRUE(pixel.x > 0.0 && pixel.x < kView.width_px && pixel.y > 0.0 && pixel.y < kView.height_px);
  }
  EXPECT_DOUBLE_EQ(fit(by_points, kView, std::span<const glm::dvec3>{}).distance_m, by_points.distance_m);
}

TEST(Camera, NamedViewsLookWhereTheySay) {
  EXPECT_NEAR(find_axes(make_front_view(kView, kWall)).forward.y, 1.0, 1e-12);
  EXPECT_NEAR(find_axes(make_side_view(kView, kWall, true)).forward.x, 1.0, 1e-12);
  EXPECT_NEAR(find_axes(make_side_view(kView, kWall, false)).forward.x, -1.0, 1e-12);
  // From the climber's side of the wall.
  EXPECT_LT(find_eye(make_open_view(kView, kWall)).y, kWall.lower.y);
  const glm::dvec3 eye(0.4, -1.2, 1.5);
  const glm::dvec3 look(1.3, -0.6, 2.6);
  const Camera climbers = make_climbers_eye_view(eye, look);
  EXPECT_LT(glm::distance(find_eye(climbers), eye), 1e-12);
  EXPECT_LT(glm::distance(pixel_of(climbers, look), {600.0, 400.0}), kNear_px);
}

TEST(Camera, BlendTurnsTheShorterWay) {
  Camera from;
  Camera to;
  from.yaw = 3.0;
  to.yaw = -3.0;
  const double middle = blend(from, to, 0.5).yaw;
  EXPECT_GT(std::cos(middle - 3.14159), 0.99);
  EXPECT_DOUBLE_EQ(blend(from, to, 1.0).yaw, to.yaw);
}

TEST(Camera, PixelSizeIsThatOfTheProjection) {
  RandomStream random(7);
  for (int i = 0; i < 50; ++i) {
    const Camera camera = draw_camera(random);
    const glm::dvec3 p_W = draw_visible_point(random, camera);
    const double size_m = find_pixel_size(camera, kView, p_W);
    const glm::dvec3 aside = p_W + size_m * find_axes(camera).right;
    EXPECT_NEAR(pixel_of(camera, aside).x - pixel_of(camera, p_W).x, 1.0, 1e-6);
  }
}

}  // namespace
}  // namespace steepwright::viewer
