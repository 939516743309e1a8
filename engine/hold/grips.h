#pragma once

/// Which grips a site allows, from its dimensions alone.

#include "engine/hold/hold.h"

namespace steepwright::hold {

/// Breadth of one finger along a lip (hand breadth of four fingers 79-88 mm at the knuckles, less at the end joints:
/// assumed 18 mm).
inline constexpr double kFingerBreadth_m = 0.018;
/// Greatest width that thumb and fingers grip from both sides (test blocks reach 90 mm: Soederqvist et al. 2024, read;
/// the limit itself is assumed).
inline constexpr double kThumbSpan_m = 0.13;

/// Fingers that find room at the site: by its own count and by its width.
[[nodiscard]] int find_finger_room(const Site& site);

/// Fills site.grips (best suited first) and site.shut_grips, and limits site.fingers to those that find room. Sites for
/// feet only shut all grips.
void fill_grips(Family family, Site& site);

/// Can the limb use the site? A hand needs a grip that is possible there.
[[nodiscard]] bool suits(const Site& site, Limb limb);
/// The first site that suits the limb, of that name unless it is ""; nullptr when there is none.
[[nodiscard]] const Site* find_suited_site(const Hold& hold, Limb limb, const std::string& name);

}  // namespace steepwright::hold
