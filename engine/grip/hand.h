#pragma once

/// One person's hand: fingers, and how strong they are, from one measured hang or from an ability.

#include "engine/grip/finger.h"

namespace steepwright::grip {

/// A force held for some seconds on a reference edge with one hand, four fingers, pulling straight down.
struct FingerStrength {
  double edge_force_N = 0.0;
  double edge_depth_m = 0.020;  ///< flat edge of chalked raw wood, lip rounded by kReferenceLip_m
  Grip edge_grip = Grip::kHalfCrimp;
  bool is_measured = false;  ///< false: an ability default
};
inline constexpr double kReferenceLip_m = 0.004;

enum class Ability { kNonClimber, kIntermediate, kAdvanced, kElite };

/// Default force on the 20 mm edge as a fraction of body weight: 0.40, 0.50, 0.70, 0.98 (level assumed; ratios between
/// climbers Vereide et al. 2022, read). N.
[[nodiscard]] double default_edge_force(Ability ability, double mass_kg);

/// Built once, then const and shared by threads.
struct Hand {
  std::array<Finger, 4> fingers{};
  double flexor_N = 0.0;  ///< strength of all finger flexors of the hand together
  bool is_chalked = true;
  FingerStrength strength;
  /// False: no muscle strength explains the reference force, because the skin on so short an edge does not carry it;
  /// the strongest plausible muscles are used.
  bool is_reference_met = true;
};

/// The hand whose model holds exactly the reference force on the reference edge: one scale for all muscles is found by
/// secant steps. A few tens of milliseconds.
[[nodiscard]] Hand make_hand(const HandMeasures& measures, const FingerStrength& strength, bool is_chalked = true);

/// Tendon limits of a finger when `n_fingers` hold. Fewer fingers are stronger each: sums of single maxima fall to 1,
/// 0.85, 0.72, 0.63 for one to four fingers (Li, Latash & Zatsiorsky 1998, pressing; from memory).
[[nodiscard]] struct FingerStrengthLimits find_finger_limits(const Hand& hand, Digit digit, int n_fingers,
                                                             bool has_thumb_lock);

}  // namespace steepwright::grip
