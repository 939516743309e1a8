#pragma once

/// The palm side of a finger's bones as strips of skin, and how far the finger must be lifted for them. Part of
/// seating.
///
/// Coordinates are y and z of S with the end joint at the origin; `along` is a bone's direction from knuckle to tip.

#include "engine/core/bounded_vector.h"
#include "engine/grip/seating.h"

namespace steepwright::grip {

/// How far the skin gives, m.
inline constexpr double kGiveDistal_m = 0.003;  ///< of 4 mm pulp (Buryanov & Kotiuk 2010, read in secondary sources)
inline constexpr double kGiveOther_m = 0.002;   ///< assumed
inline constexpr double kGiveTip_m = 0.0015;    ///< of the tip against the back face (assumed)
/// Half length of the crease at a joint that does not bear, m (assumed).
inline constexpr double kCrease_m = 0.0075;

/// Squeeze by a roof that takes all room, m (assumed).
inline constexpr double kRoofSqueeze_m = 0.002;
/// A roof's own lip over which its squeeze begins, m (assumed).
inline constexpr double kRoofLip_m = 0.0075;

using SkinCells = BoundedVector<SkinCell, kMaxSkinCells>;

[[nodiscard]] inline Vec2 find_palmward(const Vec2& along) { return {along.y(), -along.x()}; }
/// Centre of the rounding of the finger's end.
[[nodiscard]] inline Vec2 find_tip_centre(const Finger& finger, const Vec2& along) {
  return (finger.distal_m - finger.pad_m) * along;
}

/// `count` pieces of skin from one point to another.
void add_strip(const Vec2& from, const Vec2& to, int count, double give, Bone bone, bool bears, SkinCells& cells);
/// Rounding of the end and pulp of the distal bone.
void add_distal_skin(const Finger& finger, const Vec2& along, SkinCells& cells);
/// The middle bone between its creases.
void add_middle_skin(const Finger& finger, const Vec2& along, bool bears, SkinCells& cells);
/// The proximal bone from the crease at the middle joint, at `pip`, to the web.
void add_proximal_skin(const Finger& finger, const Vec2& pip, const Vec2& along, SkinCells& cells);

/// Distance of the tip's skin from the back face; negative inside, m.
[[nodiscard]] double find_face_gap(const Finger& finger, const hold::Outline& outline, const Vec2& tip_centre);
/// Shift along y that brings the tip as near to the back face as a withdrawal says.
[[nodiscard]] double find_face_shift(const Finger& finger, const hold::Outline& outline, const Vec2& tip_centre,
                                     double withdrawal);
inline constexpr double kNoLift = -1e9;
/// How far a finger is lifted, m, and by which piece of skin.
struct Lift {
  double z = kNoLift;
  std::size_t cell = 0;
};
/// Lift at which the piece that is deepest against its give is just pressed in fully, the finger shifted by y_m;
/// kNoLift when none is over the solid.
[[nodiscard]] Lift find_lift(const SkinCells& cells, const hold::Outline& outline, double y_m);
/// A surface steeper than this counts as this steep when skin is pressed in across it.
inline constexpr double kLeastCos = 0.1;

}  // namespace steepwright::grip
