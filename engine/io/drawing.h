#pragma once

/// A drawing of one page, and writing it in the format that its file's name asks for.

#include "engine/core/error.h"
#include "engine/io/canvas.h"

#include <functional>
#include <optional>
#include <string>

namespace steepwright::io {

struct Drawing {
  std::string title;
  Vec2 size_px{0.0, 0.0};
  std::function<void(Canvas&)> draw;
};

enum class PictureFormat { kSvg, kPng, kPdf };
/// By the ending, in any case: .svg, .png, .pdf; nothing for others.
[[nodiscard]] std::optional<PictureFormat> find_picture_format(const std::string& path);

/// The whole file. PNG has kPngScale pixels for each px of the drawing.
inline constexpr double kPngScale = 2.0;
[[nodiscard]] Result<std::string> format_drawing(const Drawing& drawing, PictureFormat format);

/// Writes it atomically; an unknown ending is a failure that names the known ones.
[[nodiscard]] Result<void> save_drawing(const std::string& path, const Drawing& drawing);

}  // namespace steepwright::io
