#pragma once

/// The outline of a site square to its lip: what a finger is laid on.
///
/// Plane coordinates are y and z of S (y along the floor from the lip into the wall, z the floor's normal). From
/// outside to inside: front face, lip rounding (an arc tangent to front face and floor), flat floor on z = 0, back face
/// at y = depth; over a pocket a roof on z = mouth. The unrounded corner of front face and floor is the origin.

#include "engine/hold/hold.h"

namespace steepwright::hold {

/// A place on the outline seen from above the floor.
struct OutlinePoint {
  double z = 0.0;     ///< height of the solid, m
  double lean = 0.0;  ///< rad; the outward normal is (-sin lean, cos lean): 0 on the floor, grows over the rounding
};

struct Outline {
  double depth = 0.0;        ///< m, from the unrounded lip to the back face
  double incut = 0.0;        ///< rad
  double lip_radius = 0.0;   ///< m
  double mouth = 0.0;        ///< m; 0: open above
  double floor_start = 0.0;  ///< y where rounding and floor meet, m; beyond depth when the rounding takes it all
  double outermost = 0.0;    ///< least y that can be touched from above, m
  double front_lean = 0.0;   ///< lean of the front face, rad
  double front_end = 0.0;    ///< y where rounding and front face meet, m

  /// Height and normal at y in [outermost, depth]. On a floor that slopes out the front face counts, down to where it
  /// is 60 mm below the floor.
  [[nodiscard]] OutlinePoint find_point(double y) const;
};

/// Outline of a site. Rounding of 0 is a sharp lip.
[[nodiscard]] Outline make_outline(const Site& site);

}  // namespace steepwright::hold
