#pragma once

/// Hands and sites that the tests of this part share.

#include "engine/core/units.h"
#include "engine/grip/capacity.h"
#include "engine/hold/hold.h"

namespace steepwright::grip::tests {

/// An advanced climber of 72.5 kg, the middle of the 70 to 75 kg of the published groups: 0.70 W on the 20 mm edge.
inline Hand advanced_hand() {
  FingerStrength strength;
  strength.edge_force_N = default_edge_force(Ability::kAdvanced, 72.5);
  return make_hand({0.190}, strength);
}

/// A lip with room for four fingers on chalked raw wood; mm and degrees.
inline hold::Site lip(double depth_mm, double incut_deg = 0.0, double lip_radius_mm = 2.0) {
  hold::Site site;
  site.width_m = 0.12;
  site.depth_m = m_from_mm(depth_mm);
  site.incut = rad_from_deg(incut_deg);
  site.lip_radius_m = m_from_mm(lip_radius_mm);
  return site;
}

/// A pocket for three fingers with a mouth of 32 mm.
inline hold::Site pocket(double depth_mm, double incut_deg, double lip_radius_mm) {
  hold::Site site = lip(depth_mm, incut_deg, lip_radius_mm);
  site.width_m = 0.065;
  site.mouth_m = 0.032;
  site.fingers = 3;
  return site;
}

/// Most force that a hand holds along a pull, N.
inline double hold_along(const hold::Site& site, Grip grip, const Hand& hand, double pull_deg,
                         double forearm_swing_deg = 0.0) {
  FingerSearch search;
  const HandTask task{&site, grip, &hand, rad_from_deg(forearm_swing_deg)};
  return find_capacity_along(make_hand_capacity(task, search), rad_from_deg(pull_deg));
}

}  // namespace steepwright::grip::tests
