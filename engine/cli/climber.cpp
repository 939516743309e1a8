#include "engine/cli/climber.h"

#include "engine/body/body.h"
#include "engine/cli/hold_inventory.h"
#include "engine/cli/terminal.h"
#include "engine/core/contract.h"
#include "engine/io/climber_file.h"
#include "engine/io/text_file.h"
#include "engine/move/goals.h"

#include <fmt/format.h>

namespace steepwright::cli {

namespace {

/// The climber of the example scene.
constexpr const char* kShippedClimber = "models/climbers/tall-man.toml";

Result<io::LoadedClimber> load(const std::string& file) {
  if (!file.empty()) return io::load_climber(file);
  const auto text = io::embedded_file(kShippedClimber);
  STEEPWRIGHT_ASSERT(text.has_value());
  return io::parse_climber(*text, kShippedClimber);
}

}  // namespace

std::optional<ClimberHand> load_climber_hand_or_complain(const std::string& file, bool is_chalked) {
  Result<io::LoadedClimber> loaded = load(file);
  if (!loaded) {
    print_findings(loaded.error());
    return std::nullopt;
  }
  print_findings(loaded->warnings);
  ClimberHand found;
  found.climber = std::move(loaded->climber);
  found.climber.chalked = found.climber.chalked && is_chalked;
  const body::Body body = body::make_body(found.climber.measures);
  found.hand_length_m = body.hand_length_m;
  found.hand = move::make_climber_hand(found.climber, body);
  return found;
}

std::string show_edge_force(const grip::FingerStrength& strength) {
  const std::string grip =
      strength.edge_grip == grip::FingerStrength().edge_grip ? "" : fmt::format(", {}", name_of(strength.edge_grip));
  return fmt::format("{:.0f} N on a {} mm edge{} ({})", strength.edge_force_N, show_mm(strength.edge_depth_m), grip,
                     strength.is_measured ? "measured" : "default for the ability");
}

std::string describe_unmet_reference(const grip::Hand& hand) {
  if (hand.is_reference_met) return "";
  return fmt::format(
      "the finger model does not reach {:.0f} N on a {} mm edge in {}, however strong the muscles: the strongest that "
      "are believed are used, and what follows is lower than what was measured; check the hang, or measure on a deeper "
      "edge",
      hand.strength.edge_force_N, show_mm(hand.strength.edge_depth_m), name_of(hand.strength.edge_grip));
}

}  // namespace steepwright::cli
