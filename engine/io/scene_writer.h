#pragma once

/// A scene back to its file. Comments of the old text are not kept; every value is.

#include "engine/io/scene_file.h"

#include <filesystem>
#include <string>

namespace steepwright::io {

/// The scene as TOML text: parse_scene of it gives equal values, to the last bit for every length and angle that a
/// file can state. The climber is written into the scene when source.climber_file is empty: clear it after an edit of
/// the climber. The inventory is always a reference.
[[nodiscard]] std::string write_scene(const move::Scene& scene, const SceneSource& source);

struct SaveReport {
  bool comments_lost = false;  ///< the file that was replaced had comments; tell the user
};

/// Writes the scene to `path` (see save_atomically). Nothing is written when the text would not load again from there,
/// e.g. because an inventory beside the old file is not beside the new one.
[[nodiscard]] Result<SaveReport> save_scene(const std::filesystem::path& path, const move::Scene& scene,
                                            const SceneSource& source);

}  // namespace steepwright::io
