#pragma once

/// Scenes from files to documents and back.

#include "engine/core/error.h"
#include "viewer/document/document.h"

#include <filesystem>
#include <string>
#include <string_view>

namespace steepwright::viewer {

/// The scene of the file with its inventory.
[[nodiscard]] Result<OpenedScene> open_scene(const std::filesystem::path& path);
/// The scene that comes with the program.
[[nodiscard]] Result<OpenedScene> open_default_scene();
/// From text that belongs to `path` ("": to none), e.g. one that was recovered.
[[nodiscard]] Result<OpenedScene> open_scene_text(std::string_view text, const std::filesystem::path& path);

struct SavedScene {
  bool comments_lost = false;  ///< the file that was replaced had comments
  std::string taken_along;     ///< what was copied into another folder with it (new_home.h), in words; "" for nothing
};
/// Writes the document's scene and marks it saved. In another folder than before it takes along what it refers to.
[[nodiscard]] Result<SavedScene> save_scene(const std::filesystem::path& path, Document& document);

}  // namespace steepwright::viewer
