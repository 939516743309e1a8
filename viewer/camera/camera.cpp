#include "viewer/camera/camera.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

namespace steepwright::viewer {

namespace {

constexpr double kPi = std::numbers::pi;
/// A parallel view has no eye: it shows everything from this far before the target.
constexpr double kParallelReach_m = 60.0;
constexpr double kFarBehindTarget_m = 60.0;
constexpr double kNearShare = 0.02;  // of the distance
constexpr double kLeastNear_m = 0.005;
constexpr double kWideFov = 1.15;  // about what one sees without turning the eyes

double tan_half(const Camera& camera) { return std::tan(0.5 * camera.fov_y); }

bool is_parallel(const Camera& camera) { return camera.projection == Camera::Projection::kParallel; }

/// -1..1, up positive.
glm::dvec2 find_normalized(const Viewport& viewport, const glm::dvec2& pixel) {
  return {2.0 * pixel.x / viewport.width_px - 1.0, 1.0 - 2.0 * pixel.y / viewport.height_px};
}

/// Coordinates along right, up and forward from the eye.
glm::dvec3 find_in_view(const Camera& camera, const glm::dvec3& p_W) {
  const ViewAxes axes = find_axes(camera);
  const glm::dvec3 p_EQ_W = p_W - find_eye(camera);
  return {glm::dot(axes.right, p_EQ_W), glm::dot(axes.up, p_EQ_W), glm::dot(axes.forward, p_EQ_W)};
}

glm::dvec3 find_from_view(const Camera& camera, const glm::dvec3& p_view) {
  const ViewAxes axes = find_axes(camera);
  return find_eye(camera) + p_view.x * axes.right + p_view.y * axes.up + p_view.z * axes.forward;
}

Box find_box(std::span<const glm::dvec3> points_W) {
  Box box{points_W.front(), points_W.front()};
  for (const glm::dvec3& p_W : points_W) {
    box.lower = glm::min(box.lower, p_W);
    box.upper = glm::max(box.upper, p_W);
  }
  return box;
}

/// One axis of the view: the interval of eye positions along it from which all corners are seen within the slope.
struct EyeRange {
  double highest_low = -std::numeric_limits<double>::infinity();  // max of (x - slope z)
  double lowest_high = std::numeric_limits<double>::infinity();   // min of (x + slope z)
  double slope = 1.0;

  void add(double x, double z) {
    highest_low = std::max(highest_low, x - slope * z);
    lowest_high = std::min(lowest_high, x + slope * z);
  }
  /// The foremost depth of an eye that sees all.
  [[nodiscard]] double foremost() const { return 0.5 * (lowest_high - highest_low) / slope; }
  /// The middle of the interval; it does not depend on the depth.
  [[nodiscard]] double middle() const { return 0.5 * (lowest_high + highest_low); }
};

Camera with_eye(Camera camera, const glm::dvec3& p_Weye) {
  camera.target_W = p_Weye + camera.distance_m * find_axes(camera).forward;
  return camera;
}

Camera make_view(const Viewport& viewport, std::span<const glm::dvec3> points_W, double yaw, double pitch,
                 Camera::Projection projection) {
  Camera camera;
  camera.yaw = yaw;
  camera.pitch = pitch;
  camera.projection = projection;
  return fit(camera, viewport, points_W);
}

}  // namespace

std::array<glm::dvec3, 8> corners_of(const Box& box) {
  std::array<glm::dvec3, 8> corners{};
  for (unsigned i = 0; i < 8U; ++i) {
    corners[i] = {(i & 1U) != 0U ? box.upper.x : box.lower.x, (i & 2U) != 0U ? box.upper.y : box.lower.y,
                  (i & 4U) != 0U ? box.upper.z : box.lower.z};
  }
  return corners;
}

ViewAxes find_axes(const Camera& camera) {
  const double cy = std::cos(camera.yaw);
  const double sy = std::sin(camera.yaw);
  const double cp = std::cos(camera.pitch);
  const double sp = std::sin(camera.pitch);
  ViewAxes axes;
  axes.right = {cy, sy, 0.0};
  axes.forward = {-cp * sy, cp * cy, -sp};
  axes.up = glm::cross(axes.right, axes.forward);
  return axes;
}

glm::dvec3 find_eye(const Camera& camera) { return camera.target_W - camera.distance_m * find_axes(camera).forward; }

glm::dmat4 find_view_matrix(const Camera& camera) {
  const ViewAxes a = find_axes(camera);
  const glm::dvec3 eye = find_eye(camera);
  // Columns; GL looks along -z.
  return {glm::dvec4(a.right.x, a.up.x, -a.forward.x, 0.0), glm::dvec4(a.right.y, a.up.y, -a.forward.y, 0.0),
          glm::dvec4(a.right.z, a.up.z, -a.forward.z, 0.0),
          glm::dvec4(-glm::dot(a.right, eye), -glm::dot(a.up, eye), glm::dot(a.forward, eye), 1.0)};
}

glm::dmat4 find_projection_matrix(const Camera& camera, const Viewport& viewport) {
  const double far_m = camera.distance_m + kFarBehindTarget_m;
  glm::dmat4 P(0.0);
  if (is_parallel(camera)) {
    const double near_m = camera.distance_m - kParallelReach_m;
    const double half_height = camera.distance_m * tan_half(camera);
    P[0][0] = 1.0 / (half_height * viewport.aspect());
    P[1][1] = 1.0 / half_height;
    P[2][2] = -2.0 / (far_m - near_m);
    P[3][2] = -(far_m + near_m) / (far_m - near_m);
    P[3][3] = 1.0;
  } else {
    const double near_m = std::max(kNearShare * camera.distance_m, kLeastNear_m);
    P[0][0] = 1.0 / (tan_half(camera) * viewport.aspect());
    P[1][1] = 1.0 / tan_half(camera);
    P[2][2] = -(far_m + near_m) / (far_m - near_m);
    P[3][2] = -2.0 * far_m * near_m / (far_m - near_m);
    P[2][3] = -1.0;
  }
  return P;
}

Ray find_ray(const Camera& camera, const Viewport& viewport, const glm::dvec2& pixel) {
  const ViewAxes axes = find_axes(camera);
  const glm::dvec2 at = find_normalized(viewport, pixel);
  const glm::dvec3 aside = tan_half(camera) * (at.x * viewport.aspect() * axes.right + at.y * axes.up);
  if (is_parallel(camera))
    return {camera.target_W + camera.distance_m * aside - kParallelReach_m * axes.forward, axes.forward};
  return {find_eye(camera), glm::normalize(axes.forward + aside)};
}

std::optional<glm::dvec2> find_pixel(const Camera& camera, const Viewport& viewport, const glm::dvec3& p_W) {
  const glm::dvec3 p_view = find_in_view(camera, p_W);
  if (!is_parallel(camera) && p_view.z < kLeastNear_m) return std::nullopt;
  const double half_height = tan_half(camera) * (is_parallel(camera) ? camera.distance_m : p_view.z);
  const double x = p_view.x / (half_height * viewport.aspect());
  const double y = p_view.y / half_height;
  return glm::dvec2(0.5 * (x + 1.0) * viewport.width_px, 0.5 * (1.0 - y) * viewport.height_px);
}

double find_pixel_size(const Camera& camera, const Viewport& viewport, const glm::dvec3& p_W) {
  const double depth_m = is_parallel(camera) ? camera.distance_m : std::max(find_in_view(camera, p_W).z, kLeastNear_m);
  return 2.0 * tan_half(camera) * depth_m / viewport.height_px;
}

Camera orbit(const Camera& camera, const Viewport& viewport, const glm::dvec2& drag_px) {
  Camera turned = camera;
  const double angle_per_px = kPi / viewport.height_px;
  turned.yaw = std::remainder(camera.yaw - drag_px.x * angle_per_px, 2.0 * kPi);
  turned.pitch = std::clamp(camera.pitch + drag_px.y * angle_per_px, -kMostPitch, kMostPitch);
  return turned;
}

Camera orbit_about(const Camera& camera, const Viewport& viewport, const glm::dvec2& drag_px,
                   const glm::dvec3& pivot_W) {
  const glm::dvec3 pivot_view = find_in_view(camera, pivot_W);
  const Camera turned = orbit(camera, viewport, drag_px);
  return with_eye(turned, pivot_W - (find_from_view(turned, pivot_view) - find_eye(turned)));
}

Camera pan(const Camera& camera, const Viewport& viewport, const glm::dvec2& drag_px,
           const std::optional<glm::dvec3>& p_W) {
  const ViewAxes axes = find_axes(camera);
  const double m_per_px = find_pixel_size(camera, viewport, p_W.value_or(camera.target_W));
  Camera moved = camera;
  moved.target_W -= m_per_px * (drag_px.x * axes.right - drag_px.y * axes.up);
  return moved;
}

Camera zoom_to_cursor(const Camera& camera, const Viewport& viewport, double factor, const glm::dvec2& cursor_px,
                      const std::optional<glm::dvec3>& p_W) {
  Camera zoomed = camera;
  zoomed.distance_m = std::clamp(camera.distance_m * factor, kLeastDistance_m, kMostDistance_m);
  const double share = zoomed.distance_m / camera.distance_m;
  glm::dvec3 fixed_W = camera.target_W;
  if (p_W) {
    fixed_W = *p_W;
  } else {
    const ViewAxes axes = find_axes(camera);
    const glm::dvec2 at = find_normalized(viewport, cursor_px);
    fixed_W += camera.distance_m * tan_half(camera) * (at.x * viewport.aspect() * axes.right + at.y * axes.up);
  }
  // Everything shrinks towards the fixed point, so its direction from the eye stays.
  zoomed.target_W = fixed_W + share * (camera.target_W - fixed_W);
  return zoomed;
}

Camera fit(const Camera& camera, const Viewport& viewport, std::span<const glm::dvec3> points_W, double margin) {
  Camera fitted = camera;
  if (points_W.empty()) return fitted;
  const double free_share = 1.0 - 2.0 * std::clamp(margin, 0.0, 0.45);
  const glm::dvec3 middle_W = find_box(points_W).middle();
  const ViewAxes axes = find_axes(camera);
  EyeRange across{.slope = tan_half(camera) * viewport.aspect() * free_share};
  EyeRange upward{.slope = tan_half(camera) * free_share};
  glm::dvec2 lowest(std::numeric_limits<double>::infinity());
  glm::dvec2 highest(-std::numeric_limits<double>::infinity());
  for (const glm::dvec3& p_W : points_W) {
    const glm::dvec3 p_MC_W = p_W - middle_W;
    const glm::dvec3 p_view(glm::dot(axes.right, p_MC_W), glm::dot(axes.up, p_MC_W), glm::dot(axes.forward, p_MC_W));
    across.add(p_view.x, p_view.z);
    upward.add(p_view.y, p_view.z);
    lowest = glm::min(lowest, glm::dvec2(p_view));
    highest = glm::max(highest, glm::dvec2(p_view));
  }
  if (is_parallel(camera)) {
    const glm::dvec2 half = 0.5 * (highest - lowest);
    const glm::dvec2 center = 0.5 * (highest + lowest);
    fitted.distance_m = std::max({half.x / across.slope, half.y / upward.slope, kLeastDistance_m});
    fitted.target_W = middle_W + center.x * axes.right + center.y * axes.up;
    return fitted;
  }
  fitted.distance_m = -std::min({across.foremost(), upward.foremost(), -kLeastDistance_m});
  fitted.target_W = middle_W + across.middle() * axes.right + upward.middle() * axes.up;
  return fitted;
}

Camera fit(const Camera& camera, const Viewport& viewport, const Box& box, double margin) {
  return fit(camera, viewport, corners_of(box), margin);
}

Camera make_front_view(const Viewport& viewport, const Box& box) {
  return make_view(viewport, corners_of(box), 0.0, 0.0, Camera::Projection::kParallel);
}

Camera make_side_view(const Viewport& viewport, const Box& box, bool from_left) {
  return make_view(viewport, corners_of(box), from_left ? -0.5 * kPi : 0.5 * kPi, 0.0, Camera::Projection::kParallel);
}

Camera make_open_view(const Viewport& viewport, std::span<const glm::dvec3> points_W) {
  return make_view(viewport, points_W, -0.62, 0.10, Camera::Projection::kPerspective);
}

Camera make_open_view(const Viewport& viewport, const Box& box) { return make_open_view(viewport, corners_of(box)); }

Camera make_climbers_eye_view(const glm::dvec3& p_Weye, const glm::dvec3& p_Wlook) {
  Camera camera;
  const glm::dvec3 p_EL_W = p_Wlook - p_Weye;
  camera.fov_y = kWideFov;
  camera.distance_m = std::max(glm::length(p_EL_W), kLeastDistance_m);
  const double level_m = std::hypot(p_EL_W.x, p_EL_W.y);
  camera.pitch = std::clamp(std::atan2(-p_EL_W.z, level_m), -kMostPitch, kMostPitch);
  // Straight up or down there is no yaw: as if facing the wall.
  if (level_m > 1e-9) camera.yaw = std::atan2(-p_EL_W.x, p_EL_W.y);
  return with_eye(camera, p_Weye);
}

Camera blend(const Camera& from, const Camera& to, double share) {
  const double t = std::clamp(share, 0.0, 1.0);
  if (t <= 0.0) return from;
  if (t >= 1.0) return to;
  Camera camera = t < 0.5 ? from : to;
  camera.target_W = glm::mix(from.target_W, to.target_W, t);
  camera.yaw = from.yaw + t * std::remainder(to.yaw - from.yaw, 2.0 * kPi);
  camera.pitch = std::lerp(from.pitch, to.pitch, t);
  camera.distance_m = from.distance_m * std::pow(to.distance_m / from.distance_m, t);
  camera.fov_y = std::lerp(from.fov_y, to.fov_y, t);
  return camera;
}

}  // namespace steepwright::viewer
