#pragma once

/// Plane sections through a triangle mesh, as polylines.

#include "engine/hold/mesh.h"

#include <Eigen/Core>

#include <cstddef>
#include <cstdint>
#include <vector>

namespace steepwright::hold {

/// (q, z): q towards the side that the floor is on, z out of the panel, m.
using Vec2 = Eigen::Vector2d;

/// Part of a section's outline, walked from the front over the lip to the back of the floor: the body is on the right.
struct CutLine {
  std::vector<Vec2> points;
  bool is_bridged = false;  ///< a gap of the mesh was closed by a straight line
};

struct Section {
  std::vector<CutLine> lines;  ///< without what lies on the panel
};

/// Segments nearer to the panel than this lie on it (own choice: wider than the noise of a scan's back face).
inline constexpr double kOnPanel_m = 2.5e-4;
/// Widest gap in a section that is closed by a straight line (own choice: a missing triangle of a plain block).
inline constexpr double kWidestBridge_m = 0.08;

/// Cuts one mesh at many places along one axis of the panel.
class MeshCutter {
 public:
  /// `turn` is the angle about the panel's normal from up-slope to the q axis, rad: 0 for a top edge, +pi/2 for the
  /// left flank. The mesh is copied turned.
  MeshCutter(const Mesh& mesh, double turn);

  [[nodiscard]] double lower_x() const { return lower_x_; }
  [[nodiscard]] double upper_x() const { return upper_x_; }
  /// The section at x, m, in the turned frame.
  [[nodiscard]] Section cut(double x) const;

 private:
  [[nodiscard]] std::size_t bin_of(double x) const;
  void fill_bins();

  const Mesh* mesh_;
  std::vector<Vec3> p_;  ///< vertices, turned
  double lower_x_ = 0.0, upper_x_ = 0.0;
  std::vector<std::size_t> bin_starts_;
  std::vector<std::uint32_t> bin_triangles_;
};

/// Direction of a segment's outward normal, rad: 0 out of the panel, pi/2 along q, pi into the panel.
[[nodiscard]] double find_facing(const Vec2& from, const Vec2& to);

/// The angle brought to (-pi, pi].
[[nodiscard]] double wrap_angle(double angle);

}  // namespace steepwright::hold
