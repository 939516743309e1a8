#pragma once

/// Which parts of the window differ from what was shown last: what ImGui draws over each small square is compared by a
/// hash. Where a processor draws, only these parts are drawn anew.

#include <cstdint>
#include <vector>

struct ImDrawCmd;
struct ImDrawData;
struct ImDrawList;

namespace steepwright::viewer {

/// Pixels from the window's upper left corner; the ends are outside.
struct PixelRect {
  int left = 0, top = 0, right = 0, bottom = 0;
  friend bool operator==(const PixelRect&, const PixelRect&) = default;
};

/// The scene's picture in a frame: the same texture holds another picture when `count` differs.
struct ShownPicture {
  unsigned int texture = 0;
  std::uint64_t count = 0;
  PixelRect place{};  ///< pixel for pixel
};

class ChangedParts {
 public:
  /// Rectangles that together hold all that has changed since the last call; a few, and they may overlap.
  const std::vector<PixelRect>& find(const ImDrawData& data, int width_px, int height_px, const ShownPicture& picture);
  /// All is changed when it is asked next.
  void forget() { shown_.clear(); }

 private:
  void hash_command(const ImDrawList& list, const ImDrawCmd& command, const ShownPicture& picture);
  void hash_triangle(const PixelRect& box, std::uint64_t hash);
  void gather();
  void add(PixelRect rect);

  int n_across_ = 0, n_up_ = 0;
  std::vector<std::uint64_t> shown_, wanted_;  ///< one a square, row by row
  std::vector<PixelRect> rects_;
};

}  // namespace steepwright::viewer
