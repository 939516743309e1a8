#include "engine/hold/grips.h"

#include "engine/core/units.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <span>
#include <utility>

namespace steepwright::hold {

namespace {

/// All lengths below are assumed from the size of an adult's finger: end pad 25 mm long, 13-16 mm thick.
constexpr double kOpenPad_m = 0.006;             ///< least floor for an extended finger: the middle of the pad
constexpr double kCrimpPad_m = 0.004;            ///< least floor for a bent finger: the tip of the pad
constexpr double kBentFingerRise_m = 0.03;       ///< height over the floor that a bent finger needs
constexpr double kJugDepth_m = 0.025;            ///< least floor to wrap two finger joints around
constexpr double kJugFinger_m = 0.022;           ///< height over the floor that a wrapped finger needs
constexpr double kPalmDepth_m = 0.05;            ///< least floor for fingers and part of the palm
constexpr double kPalmRadius_m = 0.02;           ///< rounding from which the palm rests on the lip
constexpr double kJugIncut = rad_from_deg(8.0);  ///< least incut to hook the hand over the lip
/// A bent finger's tip stands near the lip: a rounding beyond this leaves it no edge.
constexpr double kCrimpRadius_m = 0.03;
constexpr double kSteepestCrimpSlope = rad_from_deg(-25.0);
constexpr double kSlopeOfSlopers = rad_from_deg(-8.0);
/// From this depth on the open hand holds as much as bent fingers or more (planar finger statics; assumed here).
constexpr double kDeepFloor_m = 0.025;
constexpr double kThinFloor_m = 0.012;

bool is_bent(Grip grip) {
  return grip == Grip::kHalfCrimp || grip == Grip::kThreeFingerHalfCrimp || grip == Grip::kFullCrimp;
}

std::string too_shallow(double depth_m, double least_m) {
  return fmt::format("the floor is {:.3g} mm deep, it needs {:.3g} mm", mm_from_m(depth_m), mm_from_m(least_m));
}

std::string why_bent_is_shut(const Site& site, Grip grip) {
  if (site.depth_m < kCrimpPad_m) return too_shallow(site.depth_m, kCrimpPad_m);
  if (site.incut < kSteepestCrimpSlope) {
    return fmt::format("the floor slopes out by {:.3g} deg, bent fingers need {:.3g} deg or less",
                       -deg_from_rad(site.incut), -deg_from_rad(kSteepestCrimpSlope));
  }
  if (site.lip_radius_m > kCrimpRadius_m) {
    return fmt::format("the lip's rounding of {:.3g} mm leaves bent fingers no edge, they need {:.3g} mm or less",
                       mm_from_m(site.lip_radius_m), mm_from_m(kCrimpRadius_m));
  }
  if (grip == Grip::kFullCrimp && site.mouth_m > 0.0) return "the walls of the pocket keep the thumb off";
  // In a mouth the bent middle joint stands over the lip only if the end pad fits below the roof; deeper in it bumps.
  if (site.mouth_m > 0.0 && site.mouth_m < kBentFingerRise_m && site.depth_m > kDeepFloor_m) {
    return fmt::format("the mouth is {:.3g} mm high, bent fingers this deep need {:.3g} mm", mm_from_m(site.mouth_m),
                       mm_from_m(kBentFingerRise_m));
  }
  return "";
}

std::string why_pinch_is_shut(const Site& site) {
  if (site.mouth_m > 0.0) return "the walls of the pocket keep the thumb off";
  if (!site.has_thumb_face) return "there is no opposite face for the thumb";
  return "";
}

std::string why_palm_is_shut(const Site& site) {
  if (site.mouth_m > 0.0) return "the palm does not enter a pocket";
  if (site.depth_m < kPalmDepth_m) return too_shallow(site.depth_m, kPalmDepth_m);
  if (site.incut > kSlopeOfSlopers && site.lip_radius_m < kPalmRadius_m) {
    return fmt::format("the floor neither slopes out by {:.3g} deg nor has a rounding of {:.3g} mm for the palm",
                       -deg_from_rad(kSlopeOfSlopers), mm_from_m(kPalmRadius_m));
  }
  return "";
}

std::string why_jug_is_shut(const Site& site) {
  if (site.depth_m < kJugDepth_m) return too_shallow(site.depth_m, kJugDepth_m);
  if (site.incut < kJugIncut) {
    return fmt::format("the floor is incut by {:.3g} deg, hooking over the lip needs {:.3g} deg",
                       deg_from_rad(site.incut), deg_from_rad(kJugIncut));
  }
  if (site.mouth_m > 0.0 && site.mouth_m < kJugFinger_m) {
    return fmt::format("the mouth is {:.3g} mm high, wrapped fingers need {:.3g} mm", mm_from_m(site.mouth_m),
                       mm_from_m(kJugFinger_m));
  }
  return "";
}

/// Empty when the grip is possible.
std::string find_reason(const Site& site, Grip grip) {
  if (site.use == Site::Use::kFoot) return "the site is for feet only";
  const int room = find_finger_room(site);
  if (finger_count(grip) > room) {
    const char* what = site.mouth_m > 0.0 ? "the mouth" : "the lip";
    const std::string name(name_of(grip));
    return fmt::format("{} finger{} fit{} {}, {} needs {}", room, room == 1 ? "" : "s", room == 1 ? "s" : "", what,
                       name, finger_count(grip));
  }
  if (is_bent(grip)) return why_bent_is_shut(site, grip);
  switch (grip) {
    case Grip::kPinch:
      return why_pinch_is_shut(site);
    case Grip::kSloperPalm:
      return why_palm_is_shut(site);
    case Grip::kJug:
      return why_jug_is_shut(site);
    default:
      return site.depth_m < kOpenPad_m ? too_shallow(site.depth_m, kOpenPad_m) : "";
  }
}

/// Order of suitability by family and depth: what a climber takes first.
std::span<const Grip> find_order(Family family, const Site& site) {
  using enum Grip;
  static constexpr std::array kThin = {kHalfCrimp,     kFullCrimp, kThreeFingerHalfCrimp, kOpenHand, kThreeFingerOpen,
                                       kTwoFingerOpen, kPinch,     kSloperPalm,           kJug};
  static constexpr std::array kMedium = {
      kHalfCrimp, kOpenHand,   kFullCrimp, kThreeFingerOpen, kThreeFingerHalfCrimp, kTwoFingerOpen,
      kPinch,     kSloperPalm, kJug};
  static constexpr std::array kDeep = {kOpenHand,      kHalfCrimp, kThreeFingerOpen,
                                       kJug,           kFullCrimp, kThreeFingerHalfCrimp,
                                       kTwoFingerOpen, kPinch,     kSloperPalm};
  static constexpr std::array kOnJug = {
      kJug,           kOpenHand, kHalfCrimp, kThreeFingerOpen, kFullCrimp, kThreeFingerHalfCrimp,
      kTwoFingerOpen, kPinch,    kSloperPalm};
  static constexpr std::array kOnSlope = {kSloperPalm, kOpenHand,  kThreeFingerOpen,      kHalfCrimp,
                                          kPinch,      kFullCrimp, kThreeFingerHalfCrimp, kTwoFingerOpen,
                                          kJug};
  static constexpr std::array kOnFlank = {
      kPinch,         kOpenHand, kHalfCrimp, kThreeFingerOpen, kFullCrimp, kSloperPalm, kThreeFingerHalfCrimp,
      kTwoFingerOpen, kJug};
  if (family == Family::kJug) return kOnJug;
  if (family == Family::kPinch) return kOnFlank;
  if (family == Family::kSloper || site.incut <= kSlopeOfSlopers) return kOnSlope;
  if (site.depth_m >= kDeepFloor_m) return kDeep;
  return site.depth_m < kThinFloor_m ? kThin : kMedium;
}

}  // namespace

int find_finger_room(const Site& site) {
  // A tenth of a millimetre of slack: 4 x 18 mm = 72 mm shall take four fingers whatever the rounding.
  const double by_width = std::floor((site.width_m + 1e-4) / kFingerBreadth_m);
  return std::clamp(static_cast<int>(std::min(by_width, 4.0)), 0, std::clamp(site.fingers, 0, 4));
}

void fill_grips(Family family, Site& site) {
  site.grips.clear();
  site.shut_grips.clear();
  if (site.use != Site::Use::kFoot) site.fingers = find_finger_room(site);
  for (Grip grip : find_order(family, site)) {
    std::string reason = find_reason(site, grip);
    if (reason.empty()) {
      site.grips.push_back(grip);
    } else {
      site.shut_grips.push_back({grip, std::move(reason)});
    }
  }
}

bool suits(const Site& site, Limb limb) {
  return is_hand(limb) ? site.use != Site::Use::kFoot && !site.grips.empty() : site.use != Site::Use::kHand;
}

const Site* find_suited_site(const Hold& hold, Limb limb, const std::string& name) {
  const auto found = std::find_if(hold.sites.begin(), hold.sites.end(), [&](const Site& site) {
    return suits(site, limb) && (name.empty() || site.name == name);
  });
  return found == hold.sites.end() ? nullptr : &*found;
}

}  // namespace steepwright::hold
