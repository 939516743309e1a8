#include "viewer/store/user_folders.h"

#include <cstdlib>
#include <string>

namespace steepwright::viewer {

namespace {

std::filesystem::path from_environment(const char* name) {
  const char* value = std::getenv(name);
  return value == nullptr ? std::filesystem::path() : std::filesystem::path(value);
}

// The specification asks to ignore relative paths.
std::filesystem::path find_base(const char* name, const char* below_home) {
  std::filesystem::path given = from_environment(name);
  if (given.is_absolute()) return given;
  const std::filesystem::path home = from_environment("HOME");
  if (home.is_absolute()) return home / below_home;
  std::error_code error;
  return std::filesystem::temp_directory_path(error) / "steepwright-home";
}

}  // namespace

UserFolders find_user_folders() {
  return {find_base("XDG_CONFIG_HOME", ".config") / "steepwright",
          find_base("XDG_STATE_HOME", ".local/state") / "steepwright"};
}

}  // namespace steepwright::viewer
