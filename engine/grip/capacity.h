#pragma once

/// What one hand or shoe can hold at a site, as a capacity set for the statics.
///
/// Hand: the fingers' force along each pull of the floor's plane (hand_fan.h) gives points of the set; their hull's
/// faces are its bounds. Directions: the Coulomb cone of the skin about the normal under the fingertips (the floor's,
/// or leaning outward where the lip's rounding takes the whole floor). Along the lip friction alone decides: the bounds
/// do not depend on that part.
///
/// Pinch: the fingers' set and the thumb's on the opposite face add up. The directions of that sum are all directions,
/// so strength alone bounds it; formally a cone of 85 degrees about the way into the wall.

#include "engine/core/capacity_set.h"
#include "engine/grip/hand_fan.h"

#include <compare>
#include <map>

namespace steepwright::grip {

/// Capacity set of one hand at a site, in S. A grip that the site shuts out is computed with the fingers that find
/// room.
[[nodiscard]] CapacitySet make_hand_capacity(const HandTask& task, FingerSearch& search);

/// The set of a fan that has been computed.
[[nodiscard]] CapacitySet make_capacity_set(const HandTask& task, const HandFan& fan);

/// Most force along a pull that the set holds, N; angle as in hand_fan.h.
[[nodiscard]] double find_capacity_along(const CapacitySet& set, double angle);

/// Forearm directions are told apart by this much, rad.
inline constexpr double kForearmBin = 15.0 * 3.14159265358979323846 / 180.0;
[[nodiscard]] double round_to_forearm_bin(double forearm_swing);

/// Swing of a forearm that points from elbow to wrist along `forearm_S`: 0 straight up towards the floor's normal, 90
/// degrees along the floor into the wall (elbow out from the wall), more with the elbow above. rad, within +-180 deg.
[[nodiscard]] double find_forearm_swing(const Vec3& forearm_S);

/// Sets of one hand, each computed once per site, grip and forearm bin. Most bins are turned from a neighbour's
/// postures (turn_hand_fan), always the same one, so that a set does not depend on what was asked before. Not for
/// several threads at once.
class CapacityCache {
 public:
  explicit CapacityCache(const Hand& hand) : hand_(hand) {}
  /// The set for the bin of this forearm. The reference stays valid.
  [[nodiscard]] const CapacitySet& find(const hold::Site& site, Grip grip, double forearm_swing);
  [[nodiscard]] const Hand& hand() const { return hand_; }
  [[nodiscard]] std::size_t size() const { return sets_.size(); }

 private:
  /// All that a set depends on: a site is known by its dimensions.
  struct Key {
    double depth_m, incut, lip_radius_m, mouth_m;
    int fingers;
    hold::Surface surface;
    Grip grip;
    int bin;
    auto operator<=>(const Key&) const = default;
  };
  /// Searched from scratch, with what others begin from.
  const HandLeads& find_leads(const HandTask& task, const Key& key);

  Hand hand_;
  FingerSearch search_;
  std::map<Key, CapacitySet> sets_;
  std::map<Key, HandLeads> leads_;
};

/// What a foot carries on a good foothold, in body weights, and the depth below which it falls in proportion (assumed).
inline constexpr double kFootForceShare = 2.5;
inline constexpr double kFullFootDepth_m = 0.008;

/// Capacity set of a shoe at a site (or on bare panel), in S: rubber friction, bounded by what a foot can stand on. On
/// an incut floor a toe may pull out of the wall, within the same wedge.
[[nodiscard]] CapacitySet make_foot_capacity(const hold::Site& site, double mass_kg);

}  // namespace steepwright::grip
