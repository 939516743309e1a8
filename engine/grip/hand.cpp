#include "engine/grip/hand.h"

#include "engine/core/constants.h"
#include "engine/grip/hand_fan.h"

#include <algorithm>
#include <cmath>

namespace steepwright::grip {

namespace {

/// The locking thumb's force on the index finger, share of all finger flexors: the thumb's long flexor has 2.7 of their
/// 19.8 parts of tension (Brand et al. 1981, from memory) and about a third of its tension reaches the tip (assumed).
constexpr double kThumbLockShare = 0.045;

/// Sums of single-finger maxima that n fingers reach together.
constexpr std::array<double, 5> kTogether = {1.0, 1.0, 0.85, 0.72, 0.63};

/// Strongest finger flexors of one hand that are believed, N (assumed; an elite climber of 90 kg needs about 3500).
constexpr double kMostFlexor_N = 6000.0;
/// All flexors together are at least this many times the force at the fingertips: the load's levers at the joints are
/// longer than the tendons' (bounds of the search only).
constexpr double kLeastFlexorPerForce = 0.5;
constexpr double kUsualFlexorPerForce = 3.0;
constexpr double kScaleTolerance = 1e-6;  ///< relative
/// The posture search finds the best posture to about this share.
constexpr double kReferenceTolerance = 5e-3;
constexpr int kMaxScaleSteps = 40;
constexpr int kMaxSecants = 10;

hold::Site make_reference_site(const FingerStrength& strength) {
  hold::Site site;
  site.width_m = 0.12;
  site.depth_m = strength.edge_depth_m;
  site.lip_radius_m = kReferenceLip_m;
  return site;
}

}  // namespace

double default_edge_force(Ability ability, double mass_kg) {
  static constexpr std::array<double, 4> kBodyWeights = {0.40, 0.50, 0.70, 0.98};
  return kBodyWeights[static_cast<std::size_t>(ability)] * mass_kg * kGravity;
}

FingerStrengthLimits find_finger_limits(const Hand& hand, Digit digit, int n_fingers, bool has_thumb_lock) {
  const Finger& finger = hand.fingers[index_of(digit)];
  const double alone = kTogether[static_cast<std::size_t>(std::clamp(n_fingers, 0, 4))] / kTogether[4];
  FingerStrengthLimits limits;
  limits.deep_N = alone * finger.deep_share * hand.flexor_N;
  limits.superficial_N = alone * finger.superficial_share * hand.flexor_N;
  if (has_thumb_lock && digit == Digit::kIndex) limits.thumb_N = kThumbLockShare * hand.flexor_N;
  return limits;
}

Hand make_hand(const HandMeasures& measures, const FingerStrength& strength, bool is_chalked) {
  Hand hand;
  hand.fingers = make_fingers(measures);
  hand.strength = strength;
  // The reference is a chalked hang, whatever the hand does on the wall.
  hand.is_chalked = true;
  const hold::Site site = make_reference_site(strength);
  FingerSearch search;
  const auto force_at = [&](double flexor_N) {
    hand.flexor_N = flexor_N;
    return calc_hand_fan({&site, strength.edge_grip, &hand, 0.0}, search).force_N[kAlongNormal];
  };
  // Force grows with strength, never faster than in proportion: the search below starts under the answer and ends
  // above.
  const double wanted_N = strength.edge_force_N;
  double lower_N = kLeastFlexorPerForce * wanted_N;
  double upper_N = kMostFlexor_N;
  double flexor_N = std::clamp(kUsualFlexorPerForce * wanted_N, lower_N, upper_N);
  // The search of postures is not exact, so the force may step over the wanted one: the nearest that was met is kept.
  double nearest_flexor_N = flexor_N;
  double nearest_N = 0.0;
  for (int i = 0; i < kMaxScaleSteps && upper_N - lower_N > kScaleTolerance * upper_N; ++i) {
    const double force_N = force_at(flexor_N);
    if (std::abs(force_N - wanted_N) < std::abs(nearest_N - wanted_N)) {
      nearest_N = force_N;
      nearest_flexor_N = flexor_N;
    }
    if (std::abs(force_N - wanted_N) <= kScaleTolerance * wanted_N) break;
    (force_N < wanted_N ? lower_N : upper_N) = flexor_N;
    const double secant_N = flexor_N * wanted_N / std::max(force_N, 1.0);
    flexor_N = secant_N > lower_N && secant_N < upper_N && i < kMaxSecants ? secant_N : 0.5 * (lower_N + upper_N);
  }
  hand.is_reference_met = std::abs(nearest_N - wanted_N) <= kReferenceTolerance * wanted_N;
  hand.flexor_N = nearest_flexor_N;
  hand.is_chalked = is_chalked;
  return hand;
}

}  // namespace steepwright::grip
