#pragma once

/// Writing files so that a crash, a full disk or a wrong path never costs what was there before.

#include "engine/core/error.h"

#include <filesystem>
#include <string_view>

namespace steepwright::io {

/// Writes the text beside `path`, flushes it to the disk and renames it over `path`: whoever reads sees the old file
/// or the whole new one. Keeps the permissions of an old file; follows a symbolic link; refuses folders, devices and
/// files that may not be written. On any error the old file is as it was and nothing is left beside it.
[[nodiscard]] Result<void> save_atomically(const std::filesystem::path& path, std::string_view text);

}  // namespace steepwright::io
