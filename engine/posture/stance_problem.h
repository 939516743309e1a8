#pragma once

/// What a posture must satisfy: which limb is where, how the hand or foot may be turned there, and what it can carry.

#include "engine/body/body.h"
#include "engine/core/bounded_vector.h"
#include "engine/core/capacity_set.h"
#include "engine/core/limb.h"
#include "engine/wall/wall.h"

namespace steepwright::posture {

/// u_B fixed to a segment must point within a cone or half-space of a_W: a_W . (R_WB u_B) >= lower.
struct DirectionRange {
  int segment = 0;
  Vec3 u_B = Vec3::UnitZ();
  Vec3 a_W = Vec3::UnitZ();
  double lower = -1.0;  ///< cosine
};

inline constexpr std::size_t kMaxDirectionRanges = 6;

/// One limb at one place.
struct LimbGoal {
  Limb limb = Limb::kLeftHand;
  int segment = 0;
  Vec3 p_BC = Vec3::Zero();  ///< contact point on the segment
  Vec3 p_WC = Vec3::Zero();  ///< where it must be
  BoundedVector<DirectionRange, kMaxDirectionRanges> directions;
  bool is_loaded = true;          ///< false: placed (touch), carries nothing
  bool is_in_air = false;         ///< on its way: at p_WC, but on no hold there; not loaded
  bool keeps_clear = false;       ///< hand or forefoot stays out of the wall like the rest of the body
  CapacitySet capacity;           ///< W
  BoundedVector<Vec3, 2> points;  ///< where forces act, W; their middle is p_WC
  double scale_N = 1000.0;        ///< activation scale of the distribution
};

struct StanceProblem {
  const body::Body* body = nullptr;
  const wall::Wall* wall = nullptr;  ///< nullptr: no clearance asked
  BoundedVector<LimbGoal, 4> limbs;
};

}  // namespace steepwright::posture
