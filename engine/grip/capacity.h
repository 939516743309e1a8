#pragma once

/// What one hand can hold at a site: possible grips, and the capacity set of each.
///
/// This version: the Coulomb wedge of the site's incut-tilted floor. The hand's force lies in the friction cone about
/// the floor normal; its normal part is bounded by depth, finger count and the person's measured edge force.

#include "engine/core/capacity_set.h"
#include "engine/core/limb.h"
#include "engine/hold/hold.h"

#include <string>
#include <vector>

namespace steepwright::grip {

/// One hand's strength: the force held on the reference edge (flat, 20 mm deep, half crimp, four fingers).
struct FingerStrength {
  double edge_force_N = 0.0;
  bool is_measured = false;  ///< false: an ability default (CB-521 levels)
};

enum class Ability { kNonClimber, kIntermediate, kAdvanced, kElite };

/// Default edge force as a fraction of body weight: 0.40, 0.50, 0.70, 0.98 (level assumed; ratios between climbers
/// Vereide et al. 2022, read). N.
[[nodiscard]] double default_edge_force(Ability ability, double mass_kg);

/// Share of the four-finger reference force that `fingers` fingers hold at floor depth `depth_m`.
[[nodiscard]] double find_force_share(double depth_m, int fingers);

/// Capacity set of one hand at a site, in the site frame S.
[[nodiscard]] CapacitySet make_hand_capacity(const hold::Site& site, Grip grip, const FingerStrength& strength,
                                             bool chalked);

/// Capacity set of a shoe at a site (or on bare panel), in S: rubber friction, bounded by what a foot can stand on.
[[nodiscard]] CapacitySet make_foot_capacity(const hold::Site& site, double mass_kg);

}  // namespace steepwright::grip
