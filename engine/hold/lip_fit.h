#pragma once

/// Lips in a section: front face, rounding and floor fitted to the points of an outline.

#include "engine/hold/section_cut.h"

#include <vector>

namespace steepwright::hold {

/// A lip found in one section, in (q, z), m and rad. Facing angles as in find_facing.
struct LipFit {
  Vec2 lip = Vec2::Zero();        ///< un-rounded corner of front line and floor line
  Vec2 floor_end = Vec2::Zero();  ///< on the floor line
  Vec2 arc_centre = Vec2::Zero();
  double front_facing = 0.0;
  double floor_facing = 0.0;  ///< pi/2 + incut
  double radius_m = 0.0;
  double depth_m = 0.0;
  double mouth_m = 0.0;     ///< clear height over the floor; 0: open
  double residual_m = 0.0;  ///< root mean square distance of the outline from the fit
  bool has_straight_floor =
      true;                   ///< false: the rounding ends at the back, floor and depth follow from its tangent there
  bool is_bridged = false;    ///< a gap of the mesh touches the outline
  std::vector<Vec2> outline;  ///< the points that were fitted, front to floor end

  [[nodiscard]] double incut() const;
  /// Unit vector along the floor from the lip inward.
  [[nodiscard]] Vec2 floor_direction() const;
  [[nodiscard]] Vec2 floor_normal() const;
};

/// All lips of a section whose floor looks towards +q, in the order of the section's lines.
[[nodiscard]] std::vector<LipFit> fit_lips(const Section& section);

/// Highest opening that still counts as a mouth: over more the hand does not feel a roof (assumed: a hand's breadth).
inline constexpr double kHighestMouth_m = 0.09;

}  // namespace steepwright::hold
