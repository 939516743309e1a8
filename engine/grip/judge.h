#pragma once

/// Which grips a site allows this hand, what each holds, and which one the shape forces.

#include "engine/grip/capacity.h"

#include <string>
#include <vector>

namespace steepwright::grip {

struct GripVerdict {
  Grip grip = Grip::kOpenHand;
  bool is_possible = false;
  std::string reason;      ///< why not: "mouth 14 mm: middle and ring fit, index does not"; "" when possible
  double down_N = 0.0;     ///< along the normal under the fingertips
  double outward_N = 0.0;  ///< leaning outward by GripJudgement::outward
};

struct GripJudgement {
  std::vector<GripVerdict> grips;  ///< strongest under the outward pull first, then those that are not possible
  double outward = 0.0;            ///< rad from the floor's normal: 0.6 of the friction angle
  std::optional<Grip> forced;
  std::string forced_reason;  ///< "half crimp holds 31 % more than open hand pulling 18 deg outward", or the only one
};

/// A grip is forced when it is the only possible one, or holds at least this much more than every other way of bending
/// the fingers under the outward pull (assumed: what a setter notices).
inline constexpr double kForcedLead = 0.25;

[[nodiscard]] GripJudgement judge_grips(const hold::Site& site, double forearm_swing, CapacityCache& hands);

/// Why this hand cannot take the grip here, "" when it can: the shape's own reasons (hold::ShutGrip), then the size of
/// these fingers against mouth and width.
[[nodiscard]] std::string why_not(const hold::Site& site, Grip grip, const Hand& hand);

/// Thickness of a finger at its end joint, m.
[[nodiscard]] double find_thickness(const Finger& finger);

}  // namespace steepwright::grip
