#pragma once

/// Where the last two bones of a finger lie flush: both pressed in fully at once. The best postures of an open hand
/// stand on this narrow ridge, which no grid of angles meets.

#include "engine/grip/skin.h"

namespace steepwright::grip {

/// Directions of distal and middle bone against the floor, rad, and withdrawal of the tip, m.
struct BoneLine {
  double pitch = 0.0, middle_pitch = 0.0, withdrawal = 0.0;
};

class FlushGap {
 public:
  FlushGap(const Finger& finger, const hold::Outline& outline) : finger_(finger), outline_(outline) {}

  /// How much further the finger is lifted by the distal than by the middle bone, m; 0: flush, negative: the distal
  /// bone is pressed in by so much less. kAway when the middle bone is not over the solid.
  double find(const BoneLine& line);

  /// Middle pitches between `from` and `to` with a gap, ascending; at most four, to a tenth of a millimetre.
  [[nodiscard]] BoundedVector<double, 4> find_middle_pitches(double pitch, double withdrawal, double gap_m, double from,
                                                             double to);

  /// Most pitch of the middle bone, rad, from `most` down to `least`, at which it is pressed in no further than fully
  /// while the distal bone keeps its seat; `least` when there is none.
  [[nodiscard]] double find_most_middle_pitch(double pitch, double withdrawal, double least, double most);

  /// Most flexion of the middle joint, rad, from `wished` down to `least`, at which the proximal bone is pressed in no
  /// further than fully while the others keep their seat; `least` when there is none.
  [[nodiscard]] double find_most_flexion(const BoneLine& line, double wished, double least);

  static constexpr double kAway = 1.0;

 private:
  const Finger& finger_;
  const hold::Outline& outline_;
  SkinCells cells_;
};

}  // namespace steepwright::grip
