#pragma once

/// What the window remembers of a person between runs.

#include "engine/core/error.h"

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace steepwright::viewer {

inline constexpr std::size_t kMostRecentFiles = 10;

/// How good the pictures of a first start are; later ones are as was chosen.
enum class FirstLook { kFull, kPlain };

struct Settings {
  bool is_light = false;
  bool has_seen_cautions = false;
  bool has_smooth_edges = true;
  bool has_shadows = true;
  bool has_grid = false;
  bool has_reach = true;                            ///< bands of the moving limb's reach
  double text_scale = 1.0;                          ///< on top of the monitor's
  std::vector<std::filesystem::path> recent_files;  ///< absolute, last opened first

  friend bool operator==(const Settings&, const Settings&) = default;
};

/// Puts the file first; drops the oldest past kMostRecentFiles.
void remember_file(const std::filesystem::path& file, Settings& settings);

[[nodiscard]] std::string write_settings(const Settings& settings);
/// What cannot be read is left at its default: settings must never keep the window from opening.
[[nodiscard]] Settings parse_settings(std::string_view text);

/// Without a file of settings: those of a first start.
[[nodiscard]] Settings load_settings(const std::filesystem::path& config_folder, FirstLook look = FirstLook::kFull);
[[nodiscard]] Result<void> save_settings(const std::filesystem::path& config_folder, const Settings& settings);

}  // namespace steepwright::viewer
