#include "viewer/commands/command.h"

#include "viewer/commands/patches.h"

namespace steepwright::viewer {

namespace {

bool is_index(int index, std::size_t size) { return index >= 0 && static_cast<std::size_t>(index) < size; }

// A command may come late, after what it names has gone.
template <typename T>
bool names_what_is_there(const T& command, const move::Scene& scene) {
  bool is_there = true;
  if constexpr (requires { command.hold; }) is_there = is_there && is_index(command.hold, scene.holds.size());
  if constexpr (requires { command.strip; }) is_there = is_there && is_index(command.strip, scene.wall.strips.size());
  if constexpr (requires { command.move; }) is_there = is_there && is_index(command.move, scene.moves.size());
  return is_there;
}

}  // namespace

Result<std::optional<Patch>> make_patch(const SceneState& state, const Command& command) {
  const patches::Context context{state, *state.inventory};
  return std::visit(
      [&](const auto& value) -> Result<std::optional<Patch>> {
        if (!names_what_is_there(value, state.scene)) return failure("that hold, strip or move is no longer there");
        return patches::make(context, value);
      },
      command);
}

}  // namespace steepwright::viewer
