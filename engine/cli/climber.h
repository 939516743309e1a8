#pragma once

/// The climber whose hands a command asks about, and how tables speak of finger strength.

#include "engine/grip/hand.h"
#include "engine/move/scene.h"

#include <optional>
#include <string>

namespace steepwright::cli {

/// A climber with the hand that follows from body and strength.
struct ClimberHand {
  move::Climber climber;
  double hand_length_m = 0.0;
  grip::Hand hand;
};

/// The climber of a file, or the one of the example scene for ""; warnings are printed. Nothing, with the findings
/// printed, when it cannot be read. `is_chalked` false: without chalk, whatever the file says.
[[nodiscard]] std::optional<ClimberHand> load_climber_hand_or_complain(const std::string& file, bool is_chalked = true);

/// "522 N on a 20 mm edge (default for the ability)", "410 N on a 15 mm edge, open hand (measured)".
[[nodiscard]] std::string show_edge_force(const grip::FingerStrength& strength);

/// A sentence when no muscle strength of the model explains the hang (Hand::is_reference_met), "" otherwise.
[[nodiscard]] std::string describe_unmet_reference(const grip::Hand& hand);

}  // namespace steepwright::cli
