#include "viewer/commands/limb_sites.h"

#include "engine/io/scene_parts.h"

namespace steepwright::viewer {

bool is_site_for(const hold::Site& site, Limb limb) {
  if (is_hand(limb)) return site.use != hold::Site::Use::kFoot && !site.grips.empty();
  return site.use != hold::Site::Use::kHand;
}

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

move::Stance find_settled(const move::Move& move) { return io::find_settled(move); }

bool is_same(const move::LimbPlace& a, const move::LimbPlace& b) {
  return a.hold == b.hold && a.site == b.site && a.grip == b.grip && a.strip == b.strip && a.across_m == b.across_m &&
         a.up_m == b.up_m;
}

bool is_same(const move::Stance& a, const move::Stance& b) {
  for (const Limb limb : kLimbs) {
    const auto& left = a.limbs[index_of(limb)];
    const auto& right = b.limbs[index_of(limb)];
    if (left.has_value() != right.has_value() || (left && !is_same(*left, *right))) return false;
  }
  return true;
}

bool uses_hold(const move::Move& move, int hold) {
  bool is_used = false;
  for_each_place(move, [&](Limb, const move::LimbPlace& place) { is_used = is_used || place.hold == hold; });
  return is_used;
}

void carry_forward(const std::vector<move::Move>& old, std::size_t index, std::vector<move::Move>& moves) {
  for (std::size_t changed = index; changed < moves.size(); ++changed) {
    const move::Stance old_end = find_settled(old[changed]);
    const move::Stance new_end = find_settled(moves[changed]);
    if (is_same(old_end, new_end)) continue;
    for (std::size_t follower = changed + 1; follower < moves.size(); ++follower) {
      if (is_same(old[follower].before, old_end)) moves[follower].before = new_end;
    }
  }
}

}  // namespace steepwright::viewer
