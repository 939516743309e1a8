#include "viewer/commands/limb_sites.h"

#include "engine/hold/grips.h"
#include "engine/move/goals.h"

namespace steepwright::viewer {

bool is_site_for(const hold::Site& site, Limb limb) { return hold::suits(site, limb); }

std::optional<move::LimbPlace> find_best_place(const move::Scene& scene, Limb limb, int hold) {
  const auto& sites = scene.holds[static_cast<std::size_t>(hold)].hold.sites;
  for (std::size_t i = 0; i < sites.size(); ++i) {
    if (!is_site_for(sites[i], limb)) continue;
    move::LimbPlace place;
    place.hold = hold;
    place.site = static_cast<int>(i);
    if (is_hand(limb)) place.grip = sites[i].grips.front();
    return place;
  }
  return std::nullopt;
}

bool uses_hold(const move::Move& move, int hold) {
  bool is_used = false;
  for_each_place(move, [&](Limb, const move::LimbPlace& place) { is_used = is_used || place.hold == hold; });
  return is_used;
}

void carry_forward(const std::vector<move::Move>& old, std::size_t index, std::vector<move::Move>& moves) {
  for (std::size_t changed = index; changed < moves.size(); ++changed) {
    const move::Stance old_end = move::find_settled(old[changed]);
    const move::Stance new_end = move::find_settled(moves[changed]);
    if (old_end == new_end) continue;
    for (std::size_t follower = changed + 1; follower < moves.size(); ++follower) {
      if (old[follower].before == old_end) moves[follower].before = new_end;
    }
  }
}

}  // namespace steepwright::viewer
