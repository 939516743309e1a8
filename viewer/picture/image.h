#pragma once

/// Pixels in memory.

#include <cstddef>
#include <cstdint>
#include <vector>

namespace steepwright::viewer {

/// 8 bits a channel, RGBA, sRGB; rows from the top.
struct Image {
  int width_px = 0, height_px = 0;
  std::vector<std::uint8_t> rgba;

  [[nodiscard]] const std::uint8_t* pixel(int x, int y) const {
    return rgba.data() +
           4 * (static_cast<std::size_t>(y) * static_cast<std::size_t>(width_px) + static_cast<std::size_t>(x));
  }
};

}  // namespace steepwright::viewer
