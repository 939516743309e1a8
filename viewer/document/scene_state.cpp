#include "viewer/document/scene_state.h"

#include "engine/core/contract.h"
#include "engine/move/goals.h"

#include <iterator>
#include <utility>

namespace steepwright::viewer {

namespace {

HoldSplice apply_splice(HoldSplice splice, std::vector<move::PlacedHold>& holds) {
  STEEPWRIGHT_ASSERT(splice.first + splice.count <= holds.size());
  HoldSplice inverse{splice.first, splice.holds.size(), {}};
  const auto first = holds.begin() + static_cast<std::ptrdiff_t>(splice.first);
  const auto last = first + static_cast<std::ptrdiff_t>(splice.count);
  inverse.holds.assign(std::make_move_iterator(first), std::make_move_iterator(last));
  const auto gap = holds.erase(first, last);
  holds.insert(gap, std::make_move_iterator(splice.holds.begin()), std::make_move_iterator(splice.holds.end()));
  return inverse;
}

}  // namespace

Patch apply_patch(Patch patch, SceneState& state) {
  Patch inverse;
  inverse.label = patch.label;
  if (patch.wall) {
    inverse.wall = std::exchange(state.scene.wall, std::move(*patch.wall));
  }
  if (patch.climber) {
    inverse.climber = ClimberSource{std::exchange(state.scene.climber, std::move(patch.climber->climber)),
                                    std::exchange(state.source.climber_file, std::move(patch.climber->climber_file))};
  }
  if (patch.inventory) {
    inverse.inventory =
        InventorySource{std::exchange(state.inventory, std::move(patch.inventory->inventory)),
                        std::exchange(state.inventory_folder, std::move(patch.inventory->folder)),
                        std::exchange(state.source.inventory_file, std::move(patch.inventory->inventory_file))};
  }
  if (patch.holds) inverse.holds = apply_splice(std::move(*patch.holds), state.scene.holds);
  if (patch.moves) inverse.moves = std::exchange(state.scene.moves, std::move(*patch.moves));
  if (patch.wall || patch.holds) move::place_holds(state.scene);
  return inverse;
}

}  // namespace steepwright::viewer
