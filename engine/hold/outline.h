#pragma once

/// The outline of a site square to its lip: what a finger is laid on.
///
/// Plane coordinates are y and z of S (y along the floor from the lip into the wall, z the floor's normal). From
/// outside to inside: front face, lip rounding (an arc tangent to front face and floor), flat floor on z = 0, back face
/// at y = depth; over a pocket a roof on z = mouth. The unrounded corner of front face and floor is the origin.

#include "engine/hold/hold.h"

#include <Eigen/Core>

namespace steepwright::hold {

/// A place on the outline seen from above the floor.
struct OutlinePoint {
  double z = 0.0;                                     ///< height of the solid, m
  Eigen::Vector2d normal = Eigen::Vector2d::UnitY();  ///< out of the solid, in y and z: leans outward over the rounding
};

struct Outline {
  double depth = 0.0;        ///< m, from the unrounded lip to the back face
  double incut = 0.0;        ///< rad
  double lip_radius = 0.0;   ///< m
  double mouth = 0.0;        ///< m; 0: open above
  double floor_start = 0.0;  ///< y where rounding and floor meet, m; beyond depth when the rounding takes it all
  double outermost = 0.0;    ///< least y that can be touched from above, m
  double front_lean = 0.0;   ///< of the front face's normal from the floor's, rad
  Eigen::Vector2d front_normal = Eigen::Vector2d::UnitX();  ///< out of the front face, and of the back face
  double front_end = 0.0;                                   ///< y where rounding and front face meet, m

  /// Height and normal at y in [outermost, depth]. On a floor that slopes out the front face counts, down to where it
  /// is 60 mm below the floor.
  [[nodiscard]] OutlinePoint find_point(double y) const {
    return y >= floor_start ? OutlinePoint{} : find_point_of_lip(y);
  }
  [[nodiscard]] OutlinePoint find_point_of_lip(double y) const;  ///< the same where y is outside the floor
};

/// A finger's skin feels no lip sharper than this, m (assumed).
inline constexpr double kSharpestLip_m = 0.0005;

/// Outline of a site.
[[nodiscard]] Outline make_outline(const Site& site);

}  // namespace steepwright::hold
