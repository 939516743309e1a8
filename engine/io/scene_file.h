#pragma once

/// The scene file: wall, holds by name from an inventory, climber, moves. See scenes/demo for commented examples and
/// describe_keys() for every key.
///
/// Stages, each reporting all its findings at once, the next one only when there was no error: syntax; form (unknown
/// and missing keys, types, ranges); references (names, inventory, climber, what can be built); geometry (holds on
/// their panels, off each other, off joists; limbs on places of their own).

#include "engine/core/error.h"
#include "engine/move/scene.h"

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

namespace steepwright::io {

/// Where the parts of a scene came from; what the scene itself does not keep.
struct SceneSource {
  std::string file;            ///< as findings name it
  std::string inventory_file;  ///< as the scene writes it
  std::string climber_file;    ///< as the scene writes it; "" when the climber stands in the scene
};

struct Inventory;

struct LoadedScene {
  move::Scene scene;
  SceneSource source;
  std::shared_ptr<const Inventory> inventory;  ///< that the holds are from; never nullptr
  std::filesystem::path inventory_folder;      ///< that its meshes lie in; empty: it came with the program
  Findings warnings;
};

struct SceneOptions {
  std::optional<std::filesystem::path> climber_file;  ///< takes the place of the scene's climber
};

/// Scene from text. `file` is what findings call it; `folder` is where references are looked up, empty: only among
/// the files that come with the program.
[[nodiscard]] Result<LoadedScene> parse_scene(std::string_view text, const std::string& file,
                                              const std::filesystem::path& folder = {},
                                              const SceneOptions& options = {});

[[nodiscard]] Result<LoadedScene> load_scene(const std::filesystem::path& path, const SceneOptions& options = {});

/// The scene that comes with the program (kDefaultScene).
[[nodiscard]] Result<LoadedScene> load_default_scene(const SceneOptions& options = {});

}  // namespace steepwright::io
