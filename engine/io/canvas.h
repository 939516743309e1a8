#pragma once

/// What a drawing is drawn on: the few shapes that it needs, in px from the upper left corner, y down. SvgCanvas writes
/// them as text, CairoCanvas as a bitmap or a printed page.

#include <Eigen/Core>

#include <string>
#include <string_view>
#include <vector>

namespace steepwright::io {

using Vec2 = Eigen::Vector2d;

/// Colours of lines and words: dark, for what stands behind, fainter still.
inline constexpr const char* kInk = "#1c2733";
inline constexpr const char* kMuted = "#52606d";
inline constexpr const char* kFaint = "#5b6875";

/// How a shape is painted.
struct Paint {
  std::string stroke = "none";
  double width_px = 1.0;
  std::string fill = "none";
  std::string dash = {};  ///< as in stroke-dasharray
  double opacity = 1.0;
};

struct TextStyle {
  double size_px = 13.0;
  std::string fill = kInk;
  std::string anchor = "start";  ///< start, middle, end
  bool bold = false;
  bool halo = false;  ///< white outline, for text over lines
};

class Canvas {
 public:
  Canvas() = default;
  Canvas(const Canvas&) = delete;
  Canvas& operator=(const Canvas&) = delete;
  virtual ~Canvas() = default;

  virtual void line(const Vec2& a, const Vec2& b, const Paint& paint) = 0;
  virtual void polyline(const std::vector<Vec2>& points, const Paint& paint) = 0;
  virtual void polygon(const std::vector<Vec2>& points, const Paint& paint) = 0;
  virtual void circle(const Vec2& centre, double radius_px, const Paint& paint) = 0;
  virtual void rectangle(const Vec2& corner, const Vec2& size, double rounding_px, const Paint& paint) = 0;
  virtual void text(const Vec2& at, std::string_view text, const TextStyle& style) = 0;
  /// Everything until close_group is clipped to the rectangle.
  virtual void open_clip(const Vec2& corner, const Vec2& size) = 0;
  /// Everything until close_group is drawn as one, this opaque.
  virtual void open_fade(double opacity) = 0;
  virtual void close_group() = 0;

  /// From a to b with a head; dark outline so that light colours stay readable.
  void arrow(const Vec2& a, const Vec2& b, const std::string& colour, double width_px);
};

}  // namespace steepwright::io
