#pragma once

/// The section of a hold square to a lip line: front face, rounding, floor, back face. Sites (hold.cpp), what fits
/// (check.cpp) and meshes (make_mesh.cpp) all follow from it.
///
/// Coordinates of a section: q away from the middle of the body towards the side that the floor is on (up-slope for a
/// top edge, left or right for a flank), z out of the panel. The front face is z = protrusion; the floor starts at the
/// un-rounded corner ("the lip") and reaches depth_m along its own line, tilted by incut; the rounding is an arc
/// tangent to front face and floor. The back face is parallel to the panel. Where the floor reaches the panel, the
/// panel is the back face; otherwise the body rises behind the floor up to its ridge at the body's full extent.

#include "engine/hold/hold.h"

#include <vector>

namespace steepwright::hold {

/// A floor that ends this near to the panel ends at it (the back of a hold is sawn no more exactly; own choice).
inline constexpr double kPanelReach_m = 5e-5;
/// Least rise of a body's back face over the inner end of the floor: about a finger's thickness (assumed).
inline constexpr double kFingerRise_m = 0.012;
/// The same on a foot chip, where it only stops a shoe's sole (assumed).
inline constexpr double kToeRise_m = 0.004;
/// Least thickness of any part of a body (own choice: what survives shaping).
inline constexpr double kLeastWall_m = 0.002;
/// Thickness of a pocket's body beside its mouth, on either side (own choice).
inline constexpr double kPocketWall_m = 0.010;
/// Roundings smaller than this are made as sharp corners, which cut 0.04 mm less.
inline constexpr double kSharpRadius_m = 1e-4;

/// Its footprint is an ellipse: a sloper about as wide as high.
[[nodiscard]] bool is_round(const Shape& shape);

/// Extent along x, m: the shape's width, for a pocket its walls beside the mouth added.
[[nodiscard]] double find_body_width(const Shape& shape);

/// The floor ends at a face of the body, not at the panel.
[[nodiscard]] bool has_back_face(const Shape& shape);

/// How much nearer to the middle the lip lies than the outermost part of the body on its side, m: the ridge behind the
/// floor takes that much. A pocket has none, its floor lies inside.
[[nodiscard]] double find_lip_drop(const Shape& shape);

/// Distance of a pocket's lip from the bolt, up-slope, m: the mouth's middle lies a quarter of the height above it.
[[nodiscard]] double find_pocket_lip(const Shape& shape);

/// Length of front face that the rounding takes, m; of the floor it takes as much.
[[nodiscard]] double find_rounding_length(const Shape& shape);

/// False where the rounding of a site's lip takes its whole floor: fingers bear on the rounding alone.
[[nodiscard]] bool has_straight_floor(const Site& site);

struct SectionPoint {
  double q = 0.0, z = 0.0;
};

/// From the front face to the inner end of the floor: the ends of the rounding's chords, then the floor's end. An arc
/// longer than the floor ends at the back face. Chords are off the arc by `chord_m` at most. Precondition: check_shape
/// has no errors.
[[nodiscard]] std::vector<SectionPoint> make_floor_section(const Shape& shape, double lip_q_m, double chord_m);

/// The same for a floor on the outside of a body that extends to `extent_m`: on to the ridge and down to the panel.
[[nodiscard]] std::vector<SectionPoint> make_side_section(const Shape& shape, double extent_m, double chord_m);

}  // namespace steepwright::hold
