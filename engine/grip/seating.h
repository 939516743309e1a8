#pragma once

/// Laying one finger on the outline of a site: where its pads bear, and how firmly.

#include "engine/core/bounded_vector.h"
#include "engine/grip/finger.h"
#include "engine/hold/outline.h"

namespace steepwright::grip {

/// Posture of a finger at a site. Angles in rad, lengths in m.
struct FingerPosture {
  double pitch = 0.0;       ///< of the distal phalanx against the floor
  double dip = 0.0;         ///< flexion
  double pip = 0.0;         ///< flexion
  double withdrawal = 0.0;  ///< how far the tip stands back from the back face, beyond touching it
};

enum class Bone { kDistal, kMiddle, kProximal, kPalm };

/// A strip of pad that bears.
struct PadContact {
  Vec2 p = Vec2::Zero();        ///< m
  Vec2 normal = Vec2::UnitY();  ///< of the surface, out of the hold
  double limit_N = 0.0;         ///< most normal force
  Bone bone = Bone::kDistal;
  std::size_t part = 0;  ///< which piece of skin, the same in every posture
};

inline constexpr std::size_t kMaxSkinCells = 24;
inline constexpr std::size_t kMaxPadContacts = kMaxSkinCells + 1;

/// How a finger came to lie, in the frame with its end joint at the origin: what a slope over the posture needs.
struct Laying {
  static constexpr std::size_t kNone = ~std::size_t{0};
  struct Press {
    double y = 0.0;            ///< shift along y before it was pressed down, m
    std::size_t cell = kNone;  ///< piece of skin that stops it; kNone: nothing is over the solid
  };
  std::array<Vec2, 3> along{};  ///< direction of distal, middle and proximal bone
  Vec2 tip_centre = Vec2::Zero();
  Vec2 offset = Vec2::Zero();       ///< of the end joint, m
  BoundedVector<Press, 2> presses;  ///< the second where the back face leans
  Vec2 under_roof = Vec2::Zero();   ///< place of the finger's back that a roof squeezes most
  Bone under_roof_bone = Bone::kDistal;
};

struct Seating {
  BoundedVector<PadContact, kMaxPadContacts> contacts;
  Vec2 dip = Vec2::Zero(), pip = Vec2::Zero(), mcp = Vec2::Zero();  ///< joint axes, m
  Vec2 nail = Vec2::Zero();  ///< back of the distal phalanx, where a locking thumb presses
  double room = 1.0;         ///< 0 to 1: falls to 0 as the finger would be squeezed 2 mm by a roof
};

/// A piece of skin: its middle, its length, how far it gives. Scratch of FingerSeat.
struct SkinCell {
  Vec2 p = Vec2::Zero();
  double length = 0.0, across = 0.0;  ///< m; across: extent in y
  double give = 0.0;                  ///< m
  Bone bone = Bone::kDistal;
  bool bears = true;  ///< false: touches without bearing
};

/// Lays the finger down: its tip as near to the back face as the withdrawal says, pressed towards the floor until a pad
/// is pressed in fully somewhere. A strip that is pressed in less bears less, in proportion, so that loads change
/// smoothly with posture and shape. The creases at the joints touch but do not bear.
[[nodiscard]] Seating seat_finger(const Finger& finger, const hold::Outline& outline, const FingerPosture& posture,
                                  const GripForm& form);

/// The same with storage that is made once, for loops over postures.
class FingerSeat {
 public:
  /// Valid until the next call.
  const Seating& seat(const Finger& finger, const hold::Outline& outline, const FingerPosture& posture,
                      const GripForm& form);
  /// Of the last call.
  [[nodiscard]] const BoundedVector<SkinCell, kMaxSkinCells>& cells() const { return cells_; }
  [[nodiscard]] const Laying& laying() const { return laying_; }
  [[nodiscard]] const Seating& seating() const { return seating_; }

 private:
  BoundedVector<SkinCell, kMaxSkinCells> cells_;
  Laying laying_;
  Seating seating_;
};

}  // namespace steepwright::grip
