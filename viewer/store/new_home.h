#pragma once

/// A scene that is saved in another folder takes along what it refers to on disk: the file format looks beside and
/// below a scene only.

#include "viewer/document/document.h"
#include "viewer/store/new_files.h"

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

/// Copies the document's inventory with its meshes beside a scene at `path`, where they are on disk and another folder
/// is asked for. No file that is there changes. Errors: what cannot be read or written.
[[nodiscard]] Result<NewHome> make_new_home(const Document& document, const std::filesystem::path& path);

}  // namespace steepwright::viewer
