#pragma once

/// Scenes from files to documents and back.

#include "engine/core/error.h"
#include "viewer/document/document.h"

#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

namespace steepwright::viewer {

/// The scene of the file with its inventory.
[[nodiscard]] Result<OpenedScene> open_scene(const std::filesystem::path& path);
/// The scene that comes with the program.
[[nodiscard]] Result<OpenedScene> open_default_scene();
/// From text that belongs to `path` ("": to none), e.g. one that was recovered.
[[nodiscard]] Result<OpenedScene> open_scene_text(std::string_view text, const std::filesystem::path& path);

/// What of a document is written, and where it stood before: values for another thread.
struct SceneToSave {
  std::filesystem::path path_before;  ///< "": it had no file yet
  std::uint64_t revision = 0;
  std::shared_ptr<const move::Scene> scene;
  io::SceneSource source;
  std::shared_ptr<const io::Inventory> inventory;
  std::filesystem::path inventory_folder;

  explicit SceneToSave(const Document& document);
};

struct SavedScene {
  std::filesystem::path path;
  std::uint64_t revision = 0;
  bool comments_lost = false;  ///< the file that was replaced had comments
  std::string taken_along;     ///< what was copied into another folder with it (new_home.h), in words; "" for nothing
  std::shared_ptr<const io::Inventory> inventory_before;
  std::optional<InventorySource> inventory;  ///< the copy of it that the file refers to
  bool has_own_climber = false;              ///< the climber stands in the file
};
/// Writes the scene. In another folder than before it takes along what it refers to. A file that is replaced stays
/// whole until the new one is.
[[nodiscard]] Result<SavedScene> save_scene(const std::filesystem::path& path, const SceneToSave& scene);
/// The document belongs to the file now; what was edited since it was handed over is unsaved.
void mark_saved(SavedScene saved, Document& document);

}  // namespace steepwright::viewer
