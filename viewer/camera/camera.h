#pragma once

/// The eye that looks at the scene: pure maths, no GL. Lengths in m, angles in rad, everything in W. Pixels count from
/// the upper left corner of the view, y down; the middle of the first pixel is (0.5, 0.5).

#include <glm/glm.hpp>

#include <array>
#include <optional>
#include <span>

namespace steepwright::viewer {

/// Axis-parallel box in W.
struct Box {
  glm::dvec3 lower{0.0}, upper{0.0};

  [[nodiscard]] glm::dvec3 middle() const { return 0.5 * (lower + upper); }
};

[[nodiscard]] std::array<glm::dvec3, 8> corners_of(const Box& box);

struct Viewport {
  double width_px = 1.0, height_px = 1.0;

  [[nodiscard]] double aspect() const { return width_px / height_px; }
};

struct Ray {
  glm::dvec3 p_W{0.0};
  glm::dvec3 direction_W{0.0, 1.0, 0.0};  ///< unit
};

/// Looks at a target from a distance. With yaw and pitch 0 it looks along +y, straight at a vertical wall.
struct Camera {
  enum class Projection { kPerspective, kParallel };

  glm::dvec3 target_W{1.2, 0.0, 1.3};
  double yaw = 0.0;    ///< of the eye about the target, counter-clockwise seen from above; positive: eye to the right
  double pitch = 0.0;  ///< positive: the eye is above the target
  double distance_m = 5.0;
  double fov_y = 0.6;  ///< full vertical angle; a parallel view shows what the perspective one shows at the target
  Projection projection = Projection::kPerspective;

  friend bool operator==(const Camera&, const Camera&) = default;
};

inline constexpr double kLeastDistance_m = 0.05;
inline constexpr double kMostDistance_m = 60.0;
/// The eye never passes straight over or under the target, where left and right would swap.
inline constexpr double kMostPitch = 1.553;

[[nodiscard]] glm::dvec3 find_eye(const Camera& camera);
/// Unit axes of the view in W.
struct ViewAxes {
  glm::dvec3 right{1.0, 0.0, 0.0}, up{0.0, 0.0, 1.0}, forward{0.0, 1.0, 0.0};
};
[[nodiscard]] ViewAxes find_axes(const Camera& camera);

[[nodiscard]] glm::dmat4 find_view_matrix(const Camera& camera);
/// Near and far planes follow the distance, so that depth is resolved to under 0.1 mm near the target.
[[nodiscard]] glm::dmat4 find_projection_matrix(const Camera& camera, const Viewport& viewport);

/// The ray that goes through a pixel.
[[nodiscard]] Ray find_ray(const Camera& camera, const Viewport& viewport, const glm::dvec2& pixel);
/// Where a point is seen; none behind the eye.
[[nodiscard]] std::optional<glm::dvec2> find_pixel(const Camera& camera, const Viewport& viewport,
                                                   const glm::dvec3& p_W);
/// Size of a pixel at the depth of p_W, m.
[[nodiscard]] double find_pixel_size(const Camera& camera, const Viewport& viewport, const glm::dvec3& p_W);

/// Turns about the target. A drag over the whole height of the view is half a turn.
[[nodiscard]] Camera orbit(const Camera& camera, const Viewport& viewport, const glm::dvec2& drag_px);
/// Turns about a point that stays where it is seen.
[[nodiscard]] Camera orbit_about(const Camera& camera, const Viewport& viewport, const glm::dvec2& drag_px,
                                 const glm::dvec3& pivot_W);
/// Moves eye and target so that the point `p_W` (the target when not given) follows the cursor.
[[nodiscard]] Camera pan(const Camera& camera, const Viewport& viewport, const glm::dvec2& drag_px,
                         const std::optional<glm::dvec3>& p_W = std::nullopt);
/// factor < 1 comes nearer. What is under the cursor stays under it: `p_W` when given, else the point of the cursor's
/// ray in the plane of the target.
[[nodiscard]] Camera zoom_to_cursor(const Camera& camera, const Viewport& viewport, double factor,
                                    const glm::dvec2& cursor_px, const std::optional<glm::dvec3>& p_W = std::nullopt);

/// Same direction, the box as large as the view allows, with `margin` of the view left free around it.
[[nodiscard]] Camera fit(const Camera& camera, const Viewport& viewport, const Box& box, double margin = 0.06);

/// The same for points: tighter than their box when they stand aslant, as an overhanging wall does.
[[nodiscard]] Camera fit(const Camera& camera, const Viewport& viewport, std::span<const glm::dvec3> points_W,
                         double margin = 0.06);

/// Square to a vertical wall, from the climber's side, parallel.
[[nodiscard]] Camera make_front_view(const Viewport& viewport, const Box& box);
/// From the left (the eye on the side of -x) or the right, parallel: the overhang in profile.
[[nodiscard]] Camera make_side_view(const Viewport& viewport, const Box& box, bool from_left);
/// The view that the program opens with: from the climber's side, off to one side and a little above.
[[nodiscard]] Camera make_open_view(const Viewport& viewport, const Box& box);
[[nodiscard]] Camera make_open_view(const Viewport& viewport, std::span<const glm::dvec3> points_W);
/// From the climber's eyes to a point, say the next hold; wide.
[[nodiscard]] Camera make_climbers_eye_view(const glm::dvec3& p_Weye, const glm::dvec3& p_Wlook);

/// Part of the way from one camera to another, share 0..1, turning the shorter way; for soft changes of the view.
[[nodiscard]] Camera blend(const Camera& from, const Camera& to, double share);

}  // namespace steepwright::viewer
