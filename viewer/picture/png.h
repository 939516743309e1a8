#pragma once

/// Pictures as PNG files.

#include "engine/core/error.h"
#include "viewer/picture/image.h"

#include <filesystem>
#include <string>

namespace steepwright::viewer {

/// The bytes of a PNG file; the opacity is left out (the picture is opaque).
[[nodiscard]] Result<std::string> encode_png(const Image& image);

/// Writes the picture atomically: the old file stays until the new one is whole.
[[nodiscard]] Result<void> save_png(const std::filesystem::path& path, const Image& image);

[[nodiscard]] Result<Image> load_png(const std::filesystem::path& path);

}  // namespace steepwright::viewer
