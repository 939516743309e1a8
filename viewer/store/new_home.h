#pragma once

/// A scene that is saved in another folder takes along what it refers to on disk: the file format looks beside and
/// below a scene only.

#include "viewer/store/new_files.h"
#include "viewer/store/scene_store.h"

#include <filesystem>
#include <optional>
#include <string>

namespace steepwright::viewer {

struct NewHome {
  std::optional<InventorySource> inventory;  ///< the copy, as it is read from there
  bool has_own_climber = false;              ///< the climber's file stays behind: the scene holds the climber itself
  NewFiles files;                            ///< the copies; go again unless they are kept
  std::string summary;                       ///< "its inventory and 2 meshes were copied beside it", "" for nothing
};

/// Copies the scene's inventory with its meshes beside a file at `path`, where they are on disk and elsewhere. No file
/// that is there changes. Errors: what cannot be read or written.
[[nodiscard]] Result<NewHome> make_new_home(const SceneToSave& scene, const std::filesystem::path& path);

}  // namespace steepwright::viewer
