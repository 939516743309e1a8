#pragma once

/// Which site of a hold suits a limb, and what becomes of stances when holds or other moves change.

#include "engine/move/scene.h"

#include <optional>
#include <vector>

namespace steepwright::viewer {

/// True when the limb can use the site at all.
[[nodiscard]] bool is_site_for(const hold::Site& site, Limb limb);

/// The first site that suits the limb, with the grip that suits it best; none where there is no such site.
[[nodiscard]] std::optional<move::LimbPlace> find_best_place(const move::Scene& scene, Limb limb, int hold);

/// True when the move has a limb on the hold, before or after.
[[nodiscard]] bool uses_hold(const move::Move& move, int hold);

/// Calls `change` with every place of the move (before and target) and the limb that has it.
template <typename Move, typename Change>
void for_each_place(Move& move, const Change& change) {
  for (const Limb limb : kLimbs) {
    if (auto& place = move.before.limbs[index_of(limb)]) change(limb, *place);
  }
  change(move.moving, move.target);
}

/// After move `index` changed from `old`: moves that started from where it, or one that follows it so, ended start from
/// where it ends now.
void carry_forward(const std::vector<move::Move>& old, std::size_t index, std::vector<move::Move>& moves);

}  // namespace steepwright::viewer
