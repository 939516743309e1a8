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

/// Strips stacked from the floor up; all have the section's width.
struct Section {
  double x0_m = 0.0;  ///< left edge in W
  double width_m = 0.0;
  std::vector<int> strips;  ///< indices into Wall::strips, bottom first
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

/// What a point is nearest to.
struct Nearest {
  enum class Kind { kStrip, kSide, kFloor, kRoom };
  double distance_m = 0.0;       ///< positive on the climber's side, negative inside
  Vec3 gradient = Vec3::Zero();  ///< of the distance by the point: unit
  Kind kind = Kind::kStrip;
  int strip = -1;  ///< for kStrip, kSide
};

/// Signed distance from p_WQ to the nearest of: any section's solid (everything behind its strips), the floor, the
/// room's walls and ceiling. Exact outside; allocation-free.
[[nodiscard]] Nearest find_nearest(const Wall& wall, const Vec3& p_WQ);

/// Bolt points of a strip as (across, up) in m, row by row.
[[nodiscard]] std::vector<Eigen::Vector2d> make_lattice_points(const Strip& strip);

/// "kicker", "panel", ... of what is nearest, for messages.
[[nodiscard]] std::string describe(const Wall& wall, const Nearest& nearest);

}  // namespace steepwright::wall
