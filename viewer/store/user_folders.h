#pragma once

/// Where a person's settings and unsaved work are kept (XDG base directories).

#include <filesystem>

namespace steepwright::viewer {

struct UserFolders {
  std::filesystem::path config;  ///< settings: $XDG_CONFIG_HOME/steepwright
  std::filesystem::path state;   ///< unsaved work: $XDG_STATE_HOME/steepwright
};

/// From the environment; below $HOME, or the temporary folder where there is none.
[[nodiscard]] UserFolders find_user_folders();

}  // namespace steepwright::viewer
