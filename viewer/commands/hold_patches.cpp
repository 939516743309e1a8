#include "engine/core/units.h"
#include "engine/io/text.h"
#include "viewer/commands/limb_sites.h"
#include "viewer/commands/patches.h"
#include "viewer/commands/placement.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace steepwright::viewer::patches {

namespace {

constexpr double kBesides_m = 0.2;  // how far to the right a copy is wanted

const move::PlacedHold& hold_of(const Context& context, int hold) {
  return context.state.scene.holds[static_cast<std::size_t>(hold)];
}

Patch replace(int index, move::PlacedHold hold, const char* what) {
  Patch patch;
  patch.label = fmt::format("{} {}", what, io::in_quotes(hold.name));
  patch.holds = HoldSplice{static_cast<std::size_t>(index), 1, {std::move(hold)}};
  return patch;
}

Patch append_hold(const Context& context, move::PlacedHold hold, const char* what) {
  Patch patch;
  patch.label = fmt::format("{} {}", what, io::in_quotes(hold.name));
  patch.holds = HoldSplice{context.state.scene.holds.size(), 0, {std::move(hold)}};
  return patch;
}

// Puts the hold at the free place nearest to `wanted`; T-nuts first when it is to be on one.
Result<void> place_freely(const Context& context, const BoltPlace& wanted, move::PlacedHold& hold) {
  const move::Scene& scene = context.state.scene;
  const auto place = find_free_place(scene, hold, wanted);
  if (!place) {
    return failure(fmt::format("strip {} has no free place for {}",
                               io::in_quotes(scene.wall.strips[static_cast<std::size_t>(wanted.strip)].name),
                               io::in_quotes(hold.model)),
                   "move or delete a hold first");
  }
  hold.strip = place->strip;
  hold.across_m = place->across_m;
  hold.up_m = place->up_m;
  hold.on_lattice = place->on_lattice;
  return {};
}

double wrap_turn(double rotation) { return std::remainder(rotation, 2.0 * kPi); }

}  // namespace

PatchResult make(const Context& context, const MoveHold& command) {
  move::PlacedHold hold = hold_of(context, command.hold);
  if (hold.strip == command.strip && hold.across_m == command.across_m && hold.up_m == command.up_m &&
      hold.on_lattice == command.on_lattice)
    return std::nullopt;
  hold.strip = command.strip;
  hold.across_m = command.across_m;
  hold.up_m = command.up_m;
  hold.on_lattice = command.on_lattice;
  return replace(command.hold, std::move(hold), "move");
}

PatchResult make(const Context& context, const RotateHold& command) {
  move::PlacedHold hold = hold_of(context, command.hold);
  if (hold.rotation == command.rotation) return std::nullopt;
  hold.rotation = command.rotation;
  return replace(command.hold, std::move(hold), "turn");
}

PatchResult make(const Context& context, const SwapHold& command) {
  move::PlacedHold hold = hold_of(context, command.hold);
  if (hold.model == command.model) return std::nullopt;
  const hold::Shape* shape = context.inventory.find(command.model);
  if (shape == nullptr)
    return failure(fmt::format("the inventory has no shape {}", io::in_quotes(command.model)),
                   "choose one of the list");
  const hold::Hold old = hold.hold;
  hold.model = command.model;
  hold.hold = context.inventory.make_hold(*shape);

  move::Scene scene = context.state.scene;
  scene.holds[static_cast<std::size_t>(command.hold)] = hold;
  std::string fault;
  bool has_changed = false;
  for (move::Move& move : scene.moves) {
    for_each_place(move, [&](Limb limb, move::LimbPlace& place) {
      if (place.hold != command.hold) return;
      auto best = find_best_place(scene, limb, command.hold);
      if (!best) {
        fault = fmt::format("{} has no site for the {} of move {}", io::in_quotes(command.model), long_name(limb),
                            io::in_quotes(move.name));
        return;
      }
      // The same site by name, and the same grip, where the new shape has them.
      const std::string& name = old.sites[static_cast<std::size_t>(place.site)].name;
      for (std::size_t i = 0; i < hold.hold.sites.size(); ++i) {
        const hold::Site& site = hold.hold.sites[i];
        if (site.name != name || !is_site_for(site, limb)) continue;
        best->site = static_cast<int>(i);
        if (is_hand(limb)) best->grip = site.grips.front();
      }
      const auto& grips = hold.hold.sites[static_cast<std::size_t>(best->site)].grips;
      if (place.grip && std::find(grips.begin(), grips.end(), *place.grip) != grips.end()) best->grip = place.grip;
      has_changed = has_changed || place != *best;
      place = *best;
    });
  }
  if (!fault.empty()) return failure(fault, "take the limb off the hold first");
  Patch patch = replace(command.hold, std::move(hold), "swap");
  if (has_changed) patch.moves = std::move(scene.moves);
  return patch;
}

PatchResult make(const Context& context, const AddHold& command) {
  const hold::Shape* shape = context.inventory.find(command.model);
  if (shape == nullptr)
    return failure(fmt::format("the inventory has no shape {}", io::in_quotes(command.model)),
                   "choose one of the list");
  move::PlacedHold hold;
  hold.name = find_free_hold_name(context.state.scene, command.model);
  hold.model = command.model;
  hold.hold = context.inventory.make_hold(*shape);
  const auto placed = place_freely(context, {command.strip, command.across_m, command.up_m, command.on_lattice}, hold);
  if (!placed) return tl::unexpected<Findings>(placed.error());
  return append_hold(context, std::move(hold), "add");
}

PatchResult make(const Context& context, const DeleteHold& command) {
  const move::PlacedHold& hold = hold_of(context, command.hold);
  Patch patch;
  patch.label = fmt::format("delete {}", io::in_quotes(hold.name));
  patch.holds = HoldSplice{static_cast<std::size_t>(command.hold), 1, {}};
  std::vector<move::Move> moves = context.state.scene.moves;
  const std::size_t count = moves.size();
  std::erase_if(moves, [&](const move::Move& move) { return uses_hold(move, command.hold); });
  if (count > moves.size()) {
    const std::size_t lost = count - moves.size();
    patch.label += fmt::format(" and {} move{}", lost, lost == 1 ? "" : "s");
  }
  for (move::Move& move : moves) {
    for_each_place(move, [&](Limb, move::LimbPlace& place) {
      if (place.hold > command.hold) --place.hold;
    });
  }
  patch.moves = std::move(moves);
  return patch;
}

PatchResult make(const Context& context, const DuplicateHold& command) {
  move::PlacedHold hold = hold_of(context, command.hold);
  const BoltPlace wanted{hold.strip, hold.across_m + kBesides_m, hold.up_m, hold.on_lattice};
  hold.name = find_free_hold_name(context.state.scene, hold.name);
  const auto placed = place_freely(context, wanted, hold);
  if (!placed) return tl::unexpected<Findings>(placed.error());
  return append_hold(context, std::move(hold), "duplicate");
}

PatchResult make(const Context& context, const MirrorHold& command) {
  move::PlacedHold hold = hold_of(context, command.hold);
  const wall::Wall& wall = context.state.scene.wall;
  const wall::Strip& strip = wall.strips[static_cast<std::size_t>(hold.strip)];
  const BoltPlace place =
      find_snapped_place(wall, hold.strip, strip.width_m - hold.across_m, hold.up_m, !hold.on_lattice);
  hold.across_m = place.across_m;
  hold.up_m = place.up_m;
  hold.on_lattice = place.on_lattice;
  hold.rotation = wrap_turn(-hold.rotation);
  if (hold.rotation == 0.0) hold.rotation = 0.0;  // never -0
  const move::PlacedHold& old = hold_of(context, command.hold);
  if (hold.across_m == old.across_m && hold.up_m == old.up_m && hold.rotation == old.rotation) return std::nullopt;
  return replace(command.hold, std::move(hold), "mirror");
}

PatchResult make(const Context& context, const RenameHold& command) {
  move::PlacedHold hold = hold_of(context, command.hold);
  if (hold.name == command.name) return std::nullopt;
  hold.name = command.name;
  return replace(command.hold, std::move(hold), "rename");
}

}  // namespace steepwright::viewer::patches
