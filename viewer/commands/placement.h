#pragma once

/// Where on a strip a hold can go.

#include "engine/move/scene.h"

#include <optional>
#include <string>
#include <string_view>

namespace steepwright::viewer {

/// A bolt's place on a strip, m.
struct BoltPlace {
  int strip = 0;
  double across_m = 0.0, up_m = 0.0;
  bool on_lattice = false;
};

/// The place a drag puts the bolt to: the nearest usable T-nut, or, freed or without T-nuts, the nearest whole
/// millimetre within the strip.
[[nodiscard]] BoltPlace find_snapped_place(const wall::Wall& wall, int strip, double across_m, double up_m,
                                           bool is_free);

/// The place nearest to the wanted one where `hold` lies within its strip, overlaps no other hold (but the one of index
/// `except`) and sits on a T-nut if it wants to and the strip has any; none when the strip is full.
[[nodiscard]] std::optional<BoltPlace> find_free_place(const move::Scene& scene, const move::PlacedHold& hold,
                                                       const BoltPlace& wanted, int except = -1);

/// `wanted`, or with the first number behind it that no hold has: "rail 2".
[[nodiscard]] std::string find_free_hold_name(const move::Scene& scene, std::string_view wanted);
[[nodiscard]] std::string find_free_move_name(const move::Scene& scene, std::string_view wanted);

}  // namespace steepwright::viewer
