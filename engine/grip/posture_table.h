#pragma once

/// Postures in which an open hand's finger holds most on plain edges, solved beforehand by long searches: where the
/// search on any site begins.
///
/// A grid over floor depth, incut, lip rounding and the forearm's swing; at each node one posture for every second pull
/// of a fan. Lengths are those of an average middle finger: a longer one finds its like on a deeper edge. A posture of
/// the table is a place to climb from, no more: what a finger holds is computed for the site itself.
/// tests/bench/grip_postures writes it anew.

#include "engine/core/bounded_vector.h"
#include "engine/grip/posture_space.h"

#include <array>
#include <cstdint>

namespace steepwright::grip {

inline constexpr std::size_t kTableAxes = 4, kTablePulls = 6;
/// The nodes along each axis, ascending.
inline constexpr std::array<double, 15> kTableDepths_mm = {6,  7.5,  9,  10.5, 12, 13.5, 15, 17,
                                                           19, 21.5, 24, 27.5, 32, 40,   50};
inline constexpr std::array<double, 6> kTableIncuts_deg = {-12, -6, 0, 6, 13, 26};
inline constexpr std::array<double, 6> kTableLipRadii_mm = {0, 1.5, 3.5, 6, 9.5, 15};
inline constexpr std::array<double, 2> kTableSwings_deg = {0, 80};
inline constexpr std::size_t kTableNodes =
    kTableDepths_mm.size() * kTableIncuts_deg.size() * kTableLipRadii_mm.size() * kTableSwings_deg.size();

/// A posture in whole steps: tenths of a degree, thousandths of a bone, hundredths of a millimetre.
struct TablePosture {
  std::int16_t pitch = 0, middle_pitch = 0, flexion = 0;
  std::int16_t lip_place = kNone;
  std::int16_t gap = 0;
  static constexpr std::int16_t kAtBack = -1, kNone = -2, kAway = 9999;
};
[[nodiscard]] TablePosture to_table(const PostureLead& lead);

/// A lead and the pulls of a fan that it is for: bit k stands for pull k.
struct TableLead {
  PostureLead lead;
  unsigned pulls = 0;
  [[nodiscard]] bool serves(std::size_t pull) const { return (pulls >> pull & 1U) != 0; }
};
/// The leads of the nodes around an edge, no two alike.
using TableLeads = BoundedVector<TableLead, 16 * kTablePulls>;
/// swing: of the forearm, rad.
void find_table_leads(const Finger& finger, const hold::Outline& outline, double swing, TableLeads& leads);

}  // namespace steepwright::grip
