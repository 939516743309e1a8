#include "viewer/picture/png.h"

#include "engine/io/atomic_file.h"

#include <fmt/format.h>
#include <png.h>

#include <algorithm>
#include <cstdint>
#include <vector>

namespace steepwright::viewer {

namespace {

/// Frees what libpng keeps in a picture, whatever happens.
struct PngImage {
  png_image image{};
  PngImage() { image.version = PNG_IMAGE_VERSION; }
  ~PngImage() { png_image_free(&image); }
  PngImage(const PngImage&) = delete;
  PngImage& operator=(const PngImage&) = delete;
};

std::vector<std::uint8_t> drop_opacity(const Image& image) {
  std::vector<std::uint8_t> rgb;
  rgb.reserve(image.rgba.size() / 4 * 3);
  for (std::size_t i = 0; i + 3 < image.rgba.size(); i += 4) {
    rgb.push_back(image.rgba[i]);
    rgb.push_back(image.rgba[i + 1]);
    rgb.push_back(image.rgba[i + 2]);
  }
  return rgb;
}

}  // namespace

Result<std::string> encode_png(const Image& image) {
  const std::size_t n_pixels =
      static_cast<std::size_t>(std::max(image.width_px, 0)) * static_cast<std::size_t>(std::max(image.height_px, 0));
  if (n_pixels == 0 || image.rgba.size() != 4 * n_pixels)
    return failure(fmt::format("a picture of {} x {} pixels has nothing to write", image.width_px, image.height_px));
  PngImage png;
  png.image.width = static_cast<png_uint_32>(image.width_px);
  png.image.height = static_cast<png_uint_32>(image.height_px);
  png.image.format = PNG_FORMAT_RGB;
  const std::vector<std::uint8_t> rgb = drop_opacity(image);
  png_alloc_size_t size = PNG_IMAGE_PNG_SIZE_MAX(png.image);
  std::string bytes(size, '\0');
  if (png_image_write_to_memory(&png.image, bytes.data(), &size, 0, rgb.data(), 0, nullptr) == 0)
    return failure(fmt::format("the picture cannot be packed: {}", png.image.message));
  bytes.resize(size);
  return bytes;
}

Result<void> save_png(const std::filesystem::path& path, const Image& image) {
  const Result<std::string> bytes = encode_png(image);
  if (!bytes) return tl::unexpected(bytes.error());
  return io::save_atomically(path, *bytes);
}

Result<Image> load_png(const std::filesystem::path& path) {
  const auto fail = [&path](const char* message) {
    tl::unexpected<Findings> findings = failure(fmt::format("is no PNG picture that can be read: {}", message));
    findings.value().front().place.file = path.string();
    return findings;
  };
  PngImage png;
  if (png_image_begin_read_from_file(&png.image, path.c_str()) == 0) return fail(png.image.message);
  png.image.format = PNG_FORMAT_RGBA;
  Image image{static_cast<int>(png.image.width), static_cast<int>(png.image.height), {}};
  image.rgba.resize(PNG_IMAGE_SIZE(png.image));
  if (png_image_finish_read(&png.image, nullptr, image.rgba.data(), 0, nullptr) == 0) return fail(png.image.message);
  return image;
}

}  // namespace steepwright::viewer
