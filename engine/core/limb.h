#pragma once

/// The four limbs and the grips of a hand, in the words of the trade.

#include <array>
#include <cstddef>
#include <optional>
#include <string_view>

namespace steepwright {

enum class Limb { kLeftHand, kRightHand, kLeftFoot, kRightFoot };

inline constexpr std::array<Limb, 4> kLimbs = {Limb::kLeftHand, Limb::kRightHand, Limb::kLeftFoot, Limb::kRightFoot};

[[nodiscard]] constexpr bool is_hand(Limb limb) { return limb == Limb::kLeftHand || limb == Limb::kRightHand; }
[[nodiscard]] constexpr bool is_left(Limb limb) { return limb == Limb::kLeftHand || limb == Limb::kLeftFoot; }
[[nodiscard]] constexpr std::size_t index_of(Limb limb) { return static_cast<std::size_t>(limb); }

/// "LH" "RH" "LF" "RF", as files and records write them.
[[nodiscard]] std::string_view short_name(Limb limb);
/// "left hand" ...
[[nodiscard]] std::string_view long_name(Limb limb);
[[nodiscard]] std::optional<Limb> limb_from_short_name(std::string_view name);

enum class Grip {
  kOpenHand,
  kThreeFingerOpen,
  kTwoFingerOpen,
  kHalfCrimp,
  kThreeFingerHalfCrimp,
  kFullCrimp,
  kPinch,
  kSloperPalm,
  kJug,
};

inline constexpr std::array<Grip, 9> kGrips = {Grip::kOpenHand,  Grip::kThreeFingerOpen,      Grip::kTwoFingerOpen,
                                               Grip::kHalfCrimp, Grip::kThreeFingerHalfCrimp, Grip::kFullCrimp,
                                               Grip::kPinch,     Grip::kSloperPalm,           Grip::kJug};

/// "open hand", "half crimp", ... as files and screens write them.
[[nodiscard]] std::string_view name_of(Grip grip);
[[nodiscard]] std::optional<Grip> grip_from_name(std::string_view name);
/// Number of fingers that the grip puts on the hold (thumb not counted).
[[nodiscard]] int finger_count(Grip grip);

}  // namespace steepwright
