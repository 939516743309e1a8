#include "viewer/gl/read_framebuffer.h"

#include <epoxy/gl.h>

#include <algorithm>
#include <cstddef>

namespace steepwright::viewer::gl {

void read_framebuffer(unsigned int framebuffer, int width_px, int height_px, Image& image) {
  image.width_px = width_px;
  image.height_px = height_px;
  const std::size_t row = 4 * static_cast<std::size_t>(width_px);
  image.rgba.resize(row * static_cast<std::size_t>(height_px));
  if (image.rgba.empty()) return;
  glBindFramebuffer(GL_READ_FRAMEBUFFER, framebuffer);
  glPixelStorei(GL_PACK_ALIGNMENT, 1);
  glReadPixels(0, 0, width_px, height_px, GL_RGBA, GL_UNSIGNED_BYTE, image.rgba.data());
  // GL's rows run from the bottom.
  const auto at = [&](int y) { return image.rgba.begin() + static_cast<std::ptrdiff_t>(row) * y; };
  for (int y = 0; y < height_px / 2; ++y) std::swap_ranges(at(y), at(y + 1), at(height_px - 1 - y));
  glBindFramebuffer(GL_READ_FRAMEBUFFER, 0);
}

}  // namespace steepwright::viewer::gl
