#pragma once

/// The fingers of one hand together on one site: most force along each pull, and the inner loads of each finger.

#include "engine/grip/finger_search.h"

#include <optional>

namespace steepwright::grip {

/// The pull along the normal of the surface under the fingertips: straight down on a flat edge.
inline constexpr std::size_t kAlongNormal = 4;

/// A hand at a site: what every finger's search needs.
struct HandTask {
  const hold::Site* site = nullptr;
  Grip grip = Grip::kHalfCrimp;
  const Hand* hand = nullptr;
  double forearm_swing = 0.0;  ///< rad, see SearchTask
};

/// What one of its fingers searches for when so many hold; the outline must outlive it.
[[nodiscard]] SearchTask make_search_task(const HandTask& task, const hold::Outline& outline, Digit digit,
                                          int n_fingers);

/// Sum over the fingers; all pull alike, each in its own best posture (the knuckles of a hand allow it within the
/// ranges of a grip; that they lie on one line is not imposed).
struct HandFan {
  PullAngles pulls{};
  std::array<double, kPullCount> force_N{};
  std::array<FingerFan, 4> fingers{};
  std::array<bool, 4> digits{};  ///< which fingers hold
  int n_fingers = 0;
};
/// Where the searches of a hand's fingers ended.
struct HandLeads {
  std::array<bool, 4> digits{};
  std::array<FingerLeads, 4> fingers{};
};
/// leads: filled when given.
[[nodiscard]] HandFan calc_hand_fan(const HandTask& task, FingerSearch& search, HandLeads* leads = nullptr);
/// The same hand at the same site with the forearm elsewhere than where the leads come from: a third of the work.
[[nodiscard]] HandFan turn_hand_fan(const HandTask& task, const HandLeads& leads, FingerSearch& search);

/// Inner loads of a hand at its most force along one pull of the floor's plane.
struct HandAlong {
  double force_N = 0.0;  ///< sum of the fingers' own maxima
  std::array<std::optional<FingerSearch::Along>, 4> fingers;
};
[[nodiscard]] HandAlong calc_hand_along(const HandTask& task, double angle, FingerSearch& search);

/// Friction of the hand's skin on a site.
[[nodiscard]] double find_mu(const hold::Site& site, const Hand& hand);
/// Outward lean of the surface where the fingertips bear: 0 on a floor, more where the rounding takes all of it. rad.
[[nodiscard]] double find_bearing_lean(const hold::Outline& outline);

/// The fingers that a grip puts on the site: those of the form, as many as find room. Two fingers are the middle with
/// the ring or the index finger, whichever pair is stronger here; pass one of them.
enum class Pair { kMiddleRing, kIndexMiddle };
[[nodiscard]] std::array<bool, 4> find_digits(const hold::Site& site, Grip grip, Pair pair);

}  // namespace steepwright::grip
