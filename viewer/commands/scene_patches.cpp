#include "engine/io/climber_file.h"
#include "engine/io/text.h"
#include "viewer/commands/limb_sites.h"
#include "viewer/commands/patches.h"
#include "viewer/commands/placement.h"

#include <fmt/format.h>

#include <algorithm>

namespace steepwright::viewer::patches {

namespace {

// The wall with one strip changed, its geometry made anew.
template <typename Change>
Patch change_strip(const wall::Wall& wall, int strip, const char* what, const Change& change) {
  std::vector<std::vector<wall::Strip>> sections;
  for (const wall::Section& section : wall.sections) {
    std::vector<wall::Strip>& strips = sections.emplace_back();
    for (const int index : section.strips) {
      strips.push_back(wall.strips[static_cast<std::size_t>(index)]);
      if (index == strip) change(strips.back());
    }
  }
  Patch patch;
  patch.label = fmt::format("{} of {}", what, io::in_quotes(wall.strips[static_cast<std::size_t>(strip)].name));
  patch.wall = wall::make_wall(wall.name, std::move(sections), wall.room);
  return patch;
}

const move::Move& move_of(const Context& context, int move) {
  return context.state.scene.moves[static_cast<std::size_t>(move)];
}

// The moves with one replaced, and those that follow from it.
Patch replace_move(const Context& context, int index, move::Move move, std::string label) {
  const std::vector<move::Move>& old = context.state.scene.moves;
  Patch patch;
  patch.label = std::move(label);
  patch.moves = old;
  (*patch.moves)[static_cast<std::size_t>(index)] = std::move(move);
  carry_forward(old, static_cast<std::size_t>(index), *patch.moves);
  return patch;
}

std::string describe_target(const move::Scene& scene, Limb limb, int hold) {
  return fmt::format("{} to {}", long_name(limb), scene.holds[static_cast<std::size_t>(hold)].name);
}

}  // namespace

PatchResult make(const Context& context, const SetStripAngle& command) {
  const wall::Wall& wall = context.state.scene.wall;
  if (wall.strips[static_cast<std::size_t>(command.strip)].angle == command.angle) return std::nullopt;
  return change_strip(wall, command.strip, "angle", [&](wall::Strip& strip) { strip.angle = command.angle; });
}

PatchResult make(const Context& context, const SetStripLength& command) {
  const wall::Wall& wall = context.state.scene.wall;
  if (wall.strips[static_cast<std::size_t>(command.strip)].length_m == command.length_m) return std::nullopt;
  return change_strip(wall, command.strip, "length", [&](wall::Strip& strip) { strip.length_m = command.length_m; });
}

PatchResult make(const Context& context, const SetClimber& command) {
  if (io::write_climber(command.climber) == io::write_climber(context.state.scene.climber)) return std::nullopt;
  Patch patch;
  patch.label = "climber";
  patch.climber = ClimberSource{command.climber, ""};
  return patch;
}

PatchResult make(const Context& context, const SetGrip& command) {
  move::Move move = move_of(context, command.move);
  auto& before = move.before.limbs[index_of(command.limb)];
  move::LimbPlace* place = command.is_target ? &move.target : before ? &*before : nullptr;
  if (place == nullptr || place->hold < 0 || !is_hand(command.limb))
    return failure(fmt::format("the {} holds nothing there", long_name(command.limb)));
  if (place->grip == command.grip) return std::nullopt;
  place->grip = command.grip;
  return replace_move(context, command.move, std::move(move),
                      fmt::format("{} of the {}", name_of(command.grip), long_name(command.limb)));
}

PatchResult make(const Context& context, const DefineMove& command) {
  const move::Scene& scene = context.state.scene;
  const auto target = find_best_place(scene, command.limb, command.hold);
  if (!target) {
    return failure(
        fmt::format("{} has no site for a {}", io::in_quotes(scene.holds[static_cast<std::size_t>(command.hold)].name),
                    is_hand(command.limb) ? "hand" : "foot"),
        "choose another hold");
  }
  move::Move move;
  move.before = command.before;
  move.moving = command.limb;
  move.target = *target;
  move.name = find_free_move_name(scene, describe_target(scene, command.limb, command.hold));
  Patch patch;
  patch.label = fmt::format("define {}", io::in_quotes(move.name));
  patch.moves = scene.moves;
  patch.moves->push_back(std::move(move));
  return patch;
}

PatchResult make(const Context& context, const DeleteMove& command) {
  Patch patch;
  patch.label = fmt::format("delete {}", io::in_quotes(move_of(context, command.move).name));
  patch.moves = context.state.scene.moves;
  patch.moves->erase(patch.moves->begin() + command.move);
  return patch;
}

PatchResult make(const Context& context, const RenameMove& command) {
  move::Move move = move_of(context, command.move);
  if (move.name == command.name) return std::nullopt;
  move.name = command.name;
  Patch patch;
  patch.label = fmt::format("rename {}", io::in_quotes(move.name));
  patch.moves = context.state.scene.moves;
  (*patch.moves)[static_cast<std::size_t>(command.move)] = std::move(move);
  return patch;
}

PatchResult make(const Context&, const JoinShape& command) {
  Patch patch;
  patch.label = fmt::format("join {} to the inventory", io::in_quotes(command.shape));
  patch.inventory = command.source;
  return patch;
}

}  // namespace steepwright::viewer::patches
