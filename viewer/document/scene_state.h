#pragma once

/// What the window edits: a scene with where its parts came from, and patches that change it and can be taken back.

#include "engine/io/hold_file.h"
#include "engine/io/scene_file.h"
#include "engine/move/scene.h"

#include <cstddef>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace steepwright::viewer {

/// All that is saved, and all that undo restores.
struct SceneState {
  move::Scene scene;
  io::SceneSource source;
  std::shared_ptr<const io::Inventory> inventory = std::make_shared<const io::Inventory>();
  std::filesystem::path inventory_folder;  ///< where its meshes are; empty: it came with the program
};

/// Replaces `count` holds from `first` on by others.
struct HoldSplice {
  std::size_t first = 0;
  std::size_t count = 0;
  std::vector<move::PlacedHold> holds;
};

/// The climber with the file that gave it ("" once it was edited).
struct ClimberSource {
  move::Climber climber;
  std::string climber_file;
};

/// The inventory with the file that the scene refers to.
struct InventorySource {
  std::shared_ptr<const io::Inventory> inventory;
  std::filesystem::path folder;
  std::string inventory_file;
};

/// The parts of a state that an edit replaces. Indices in moves and holds agree once all parts are applied.
struct Patch {
  std::string label;  ///< "move 'rail'": what undo says it takes back
  std::optional<wall::Wall> wall;
  std::optional<ClimberSource> climber;
  std::optional<InventorySource> inventory;
  std::optional<HoldSplice> holds;
  std::optional<std::vector<move::Move>> moves;
};

/// Applies the patch and returns the one that takes it back, to the last bit.
[[nodiscard]] Patch apply_patch(Patch patch, SceneState& state);

}  // namespace steepwright::viewer
