#include "engine/io/drawing.h"

#include "engine/io/atomic_file.h"
#include "engine/io/cairo_canvas.h"
#include "engine/io/svg_canvas.h"

#include <algorithm>
#include <cctype>
#include <filesystem>

namespace steepwright::io {

std::optional<PictureFormat> find_picture_format(const std::string& path) {
  std::string ending = std::filesystem::path(path).extension().string();
  std::transform(ending.begin(), ending.end(), ending.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  if (ending == ".svg") return PictureFormat::kSvg;
  if (ending == ".png") return PictureFormat::kPng;
  if (ending == ".pdf") return PictureFormat::kPdf;
  return std::nullopt;
}

Result<std::string> format_drawing(const Drawing& drawing, PictureFormat format) {
  if (format == PictureFormat::kSvg) {
    SvgCanvas canvas;
    drawing.draw(canvas);
    return canvas.finish(drawing.size_px.x(), drawing.size_px.y(), drawing.title);
  }
  CairoCanvas canvas(format == PictureFormat::kPng ? CairoFormat::kPng : CairoFormat::kPdf, drawing.size_px, kPngScale,
                     drawing.title);
  drawing.draw(canvas);
  return canvas.finish();
}

Result<void> save_drawing(const std::string& path, const Drawing& drawing) {
  const auto format = find_picture_format(path);
  if (!format) return failure("'" + path + "': a picture's name ends in .svg, .png or .pdf");
  const Result<std::string> text = format_drawing(drawing, *format);
  if (!text) return tl::unexpected(text.error());
  return save_atomically(path, *text);
}

}  // namespace steepwright::io
