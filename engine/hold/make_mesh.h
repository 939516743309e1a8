#pragma once

/// Bodies of the parametric holds as watertight meshes.

#include "engine/hold/hold.h"
#include "engine/hold/mesh.h"

namespace steepwright::hold {

struct MeshDetail {
  double chord_m = 5e-5;         ///< largest distance of a chord from a lip's rounding
  double plan_chord_m = 2.5e-4;  ///< the same for the outline of a round body in front view
  bool has_bolt_hole = true;     ///< cut a hole for the bolt, where there is room
};

/// Hole for an M10 bolt (common practice: 11 mm), and what must be left around it (own choice).
inline constexpr double kBoltRadius_m = 0.0055;
inline constexpr double kBoltMargin_m = 0.001;

/// The body whose sites make_hold lists, in H: closed, every edge between two triangles, outward, no two points equal.
/// Precondition: check_shape has no errors.
///
/// | family | body |
/// | --- | --- |
/// | edge, jug, foot chip, sloper | the section of profile.h drawn out along x, ends square |
/// | sloper about as wide as high | the same section turned about the bolt, its outline an ellipse |
/// | pinch | a section with a floor on either side, drawn out along y, ends square |
/// | pocket | a block with the mouth sunk into its front; walls of kPocketWall_m beside it, roof parallel to the floor
/// | | volume | the section on top, left and right, mitred; square below |
///
/// Width, height and protrusion are those of the body before its lip is rounded. Edges other than the lip are sharp.
/// The bolt's hole is cut where front and panel side leave kBoltMargin_m around it; smaller bodies have none. Its axis
/// is H's z either way.
[[nodiscard]] Mesh make_mesh(const Shape& shape, const MeshDetail& detail = {});

}  // namespace steepwright::hold
