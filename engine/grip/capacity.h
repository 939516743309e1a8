#pragma once

/// What one hand can hold at a site: possible grips, and the capacity set of each.
///
/// This version: the Coulomb wedge of the site's incut-tilted floor. The hand's force lies in the friction cone about
/// the floor normal (z of S); its normal part is bounded by depth, finger count and the person's measured edge force:
///
///   |f_t| <= mu f_z,   f_z <= F(depth, fingers)
///
/// Seen from the panel, a floor with incut a holds a pull out of the wall of up to tan(atan mu + a) times the pull
/// along it. Rounding of the lip, the direction of the forearm and the single fingers are not in this version.
///
/// A pinch squeezes with the fingers' normal force N and the thumb's T = k N on the opposite face (k <= k_max), both
/// at the friction limit when it slips. Of their sum, f_z = N - T is normal to the fingers' flank and f_t is along it:
///
///   |f_t| <= mu (N + T),  so  |f_t| <= mu (1 + k_max)/(1 - k_max) f_z,
///   f_z <= N_max,   f_z + |f_t|/mu <= 2 N_max,   |f_t|/mu - f_z <= 2 T_max
///
/// that is a wedge with a larger coefficient and two more families of bounds.

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

/// Share of the four-finger reference force (20 mm edge) that `fingers` fingers (1 to 4) hold at floor depth `depth_m`.
///
/// Depth: F = 350.8 + 75 (depth - 1 cm) N from 1 to 4 cm, constant beyond, over its value at 2 cm; below 1 cm linear to
/// 0 at 0 (assumed; joins the two ends of Amca et al. 2012, read). Fingers: 0.52, 0.78, 0.95, 1 (assumed; from sharing
/// and force deficit in finger pressing, from memory of Quaine et al. 2003 and Li et al. 1998).
[[nodiscard]] double find_force_share(double depth_m, int fingers);

/// A jug carries 1/0.63 of what a 23 mm ledge carries (a ledge held 57-69 % of a jug: Stien et al. 2019, read).
inline constexpr double kLedgeToJug = 0.63;
/// Greatest thumb force, as a share of the four-finger reference force and of the fingers' force opposite (assumed).
inline constexpr double kThumbForceShare = 0.5;
inline constexpr double kThumbToFingers = 0.75;

/// Force that the fingers of one hand can put normal to the site's floor with this grip, N; at least 1 N.
[[nodiscard]] double find_normal_force(const hold::Site& site, Grip grip, const FingerStrength& strength);

/// Capacity set of one hand at a site, in the site frame S. A grip that the site shuts out is computed with the fingers
/// that find room; ask why_not first.
[[nodiscard]] CapacitySet make_hand_capacity(const hold::Site& site, Grip grip, const FingerStrength& strength,
                                             bool chalked);

/// What a foot carries on a good foothold, in body weights, and the depth below which it falls in proportion (assumed).
inline constexpr double kFootForceShare = 2.5;
inline constexpr double kFullFootDepth_m = 0.008;

/// Capacity set of a shoe at a site (or on bare panel), in S: rubber friction, bounded by what a foot can stand on. On
/// an incut floor a toe may pull out of the wall, within the same wedge.
[[nodiscard]] CapacitySet make_foot_capacity(const hold::Site& site, double mass_kg);

/// The grips that the site allows, best suited first.
[[nodiscard]] std::vector<Grip> make_possible_grips(const hold::Site& site);

/// Why the site does not allow the grip ("2 fingers fit the mouth, open hand needs 4"); "" when it does.
[[nodiscard]] std::string why_not(const hold::Site& site, Grip grip);

}  // namespace steepwright::grip
