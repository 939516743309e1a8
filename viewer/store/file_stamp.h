#pragma once

/// Whether somebody else has written a file.

#include <cstdint>
#include <filesystem>
#include <optional>

namespace steepwright::viewer {

struct FileStamp {
  std::filesystem::file_time_type written{};
  std::uintmax_t size = 0;
  friend bool operator==(const FileStamp&, const FileStamp&) = default;
};

/// None where there is no file.
[[nodiscard]] inline std::optional<FileStamp> find_stamp(const std::filesystem::path& path) {
  std::error_code no_time;
  std::error_code no_size;
  const FileStamp stamp{std::filesystem::last_write_time(path, no_time), std::filesystem::file_size(path, no_size)};
  return no_time || no_size ? std::nullopt : std::optional(stamp);
}

}  // namespace steepwright::viewer
