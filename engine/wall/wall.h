#pragma once

/// The structure that holds are bolted to: sections side by side, each a stack of plane strips from the floor up
/// (kicker, panels, roof), with T-nut lattice and joists, inside an optional room.
///
/// Overhang angle theta from vertical, positive leaning over the climber. A strip's axes in W: across (1, 0, 0),
/// up-slope (0, -sin theta, cos theta), outward normal (0, -cos theta, -sin theta).

#include "engine/core/error.h"
#include "engine/core/frames.h"

#include <optional>
#include <string>
#include <vector>

namespace steepwright::wall {

/// Bolt points in a strip, mm of the strip's P frame. Rows run across.
struct Lattice {
  double pitch_across_m = 0.2, pitch_up_m = 0.2;
  double first_across_m = 0.1, first_up_m = 0.1;
  double stagger_m = 0.0;  ///< every second row is shifted by this
};

/// Joists behind a strip, running up-slope.
struct Joists {
  double spacing_m = 0.4;  ///< between centres
  double first_m = 0.0;    ///< across position of the first centre
  double width_m = 0.045;
};

struct Strip {
  std::string name;
  double angle = 0.0;  ///< overhang from vertical, rad
  double width_m = 0.0;
  double length_m = 0.0;  ///< up-slope
  double thickness_m = 0.018;
  std::optional<Lattice> lattice;
  std::optional<Joists> joists;
  // Filled by make_wall:
  Pose X_WP;  ///< columns of R: across, up, normal
  int section = 0;
};

/// One straight edge of a section's outline in the y-z plane of W. The solid lies on the right of its direction.
struct ProfileEdge {
  double y0_m = 0.0, z0_m = 0.0;  ///< start
  double y1_m = 0.0, z1_m = 0.0;  ///< end
  double dy = 0.0, dz = 1.0;      ///< unit direction; outward normal (-dz, dy)
  double length_m = 0.0;
  int strip = -1;  ///< the strip that the edge belongs to
};

/// Strips stacked from the floor up; all have the section's width.
struct Section {
  double x0_m = 0.0;  ///< left edge in W
  double width_m = 0.0;
  std::vector<int> strips;  ///< indices into Wall::strips, bottom first
  // Filled by make_wall:
  std::vector<ProfileEdge> profile;  ///< outline of the solid, see find_nearest
};

/// Inner box of the room, W.
struct Room {
  Vec3 lower = Vec3::Zero();
  Vec3 upper = Vec3::Zero();
};

struct Wall {
  std::string name;
  std::vector<Strip> strips;
  std::vector<Section> sections;
  std::optional<Room> room;

  [[nodiscard]] int find_strip(const std::string& name) const;  ///< -1 when there is none
};

/// Lays strips (given per section, bottom first, geometry fields left empty) side by side from x = 0 and up from the
/// floor.
[[nodiscard]] Wall make_wall(std::string name, std::vector<std::vector<Strip>> sections, std::optional<Room> room);

/// What cannot be built or is doubtful: angles outside -20..90 deg, sizes, strips of unequal width in one section,
/// repeated names, T-nut columns on joists, a room that the wall does not fit into, a top edge above 4.5 m. Keys are
/// "<strip name>.<field>"; places are left empty for the file reader to fill.
[[nodiscard]] Findings check_wall(const Wall& wall);

/// What a point is nearest to.
struct Nearest {
  enum class Kind { kStrip, kSide, kFloor, kRoom };
  double distance_m = 0.0;       ///< positive on the climber's side, negative inside
  Vec3 gradient = Vec3::Zero();  ///< of the distance by the point: unit
  Kind kind = Kind::kStrip;
  int strip = -1;  ///< for kStrip, kSide
};

/// Depth of the frame behind the plywood, taken for the upper edge of a wall (145-200 mm joists: common practice).
inline constexpr double kFrameDepth_m = 0.2;

/// Signed distance from p_WQ to the nearest of: any section's solid, the floor (z = 0), the room's walls and ceiling.
///
/// A section's solid is its outline in the y-z plane swept over [x0, x0 + width]. The outline runs straight down from
/// the foot of the lowest strip, up along the strips' faces, then over the upper edge (square to the last strip, as
/// deep as its plywood and frame; level for a slab) and from there level into the wall without end. So all that is
/// behind a strip is solid, a roof is a slab of real thickness with a lip, and one may reach over the upper edge.
/// Where sections of unequal outline meet, the free part of the seam is a side face.
///
/// Exact outside and inside the union of the sections' solids; where wall, floor and room are mixed, exact outside.
/// Deterministic, allocation-free, O(number of strips).
[[nodiscard]] Nearest find_nearest(const Wall& wall, const Vec3& p_WQ);

/// Bolt points of a strip as (across, up) in m, row by row. Empty without a lattice.
[[nodiscard]] std::vector<Eigen::Vector2d> make_lattice_points(const Strip& strip);

/// The bolt point within `tolerance_m` of (across, up), the nearest one; none when there is none.
[[nodiscard]] std::optional<Eigen::Vector2d> find_lattice_point(const Strip& strip, double across_m, double up_m,
                                                                double tolerance_m);

/// Half the flange of an M10 T-nut (common practice, no source): a bolt needs this much free plywood beside a joist.
inline constexpr double kTeeNutRadius_m = 0.0125;

/// True when a bolt at `across_m` would meet a joist, with `clearance_m` to spare on either side.
[[nodiscard]] bool is_on_joist(const Strip& strip, double across_m, double clearance_m = kTeeNutRadius_m);

/// Pose in W of a frame on a strip's face: z out of the panel, y up-slope at rotation 0; the rotation about z is
/// counter-clockwise as the climber sees it, rad. X_WH of a hold bolted there.
[[nodiscard]] Pose find_pose_on_strip(const Strip& strip, double across_m, double up_m, double rotation = 0.0);

/// How far a rectangle (width x height, centred at (across, up), turned by rotation) sticks out over the strip's edges,
/// m; 0 or less: it lies within the strip, with that much to spare.
[[nodiscard]] double find_overrun(const Strip& strip, double across_m, double up_m, double rotation, double width_m,
                                  double height_m);

/// What is nearest, for messages: "kicker", "panel 'main' (35°)", "left side of panel 'main' (35°)", "floor",
/// "ceiling", "left room wall".
[[nodiscard]] std::string describe(const Wall& wall, const Nearest& nearest);

/// The name part of describe for a strip: "kicker", "slab 's' (-5°)", "panel 'main' (35°)", "roof 'lid' (80°)".
[[nodiscard]] std::string describe_strip(const Wall& wall, int strip);

}  // namespace steepwright::wall
