#pragma once

/// Writes SVG elements as text: the few shapes that a drawing needs, numbers to a hundredth of a pixel.

#include "engine/io/canvas.h"

#include <string>
#include <string_view>
#include <vector>

namespace steepwright::io {

/// "&", "<", ">", quotes and control characters made safe for XML text and attributes.
[[nodiscard]] std::string escape_xml(std::string_view text);

/// Colour of a share of a limit, "#rrggbb": 0 dark blue to 1 light yellow, even in lightness and readable without
/// telling red from green (a scale in the manner of cividis, Nunez, Anderton & Renslow 2018; own sampling, from
/// memory).
[[nodiscard]] std::string use_colour(double use);

/// Width of a text in px: an estimate from the classes of its letters, on the safe side.
[[nodiscard]] double estimate_text_width(std::string_view text, double size_px);

/// Breaks a text at spaces into lines of at most `width_px`.
[[nodiscard]] std::vector<std::string> wrap_text(std::string_view text, double size_px, double width_px);

class SvgCanvas final : public Canvas {
 public:
  void line(const Vec2& a, const Vec2& b, const Paint& paint) override;
  void polyline(const std::vector<Vec2>& points, const Paint& paint) override;
  void polygon(const std::vector<Vec2>& points, const Paint& paint) override;
  void circle(const Vec2& centre, double radius_px, const Paint& paint) override;
  void rectangle(const Vec2& corner, const Vec2& size, double rounding_px, const Paint& paint) override;
  void text(const Vec2& at, std::string_view text, const TextStyle& style) override;
  void open_clip(const Vec2& corner, const Vec2& size) override;
  void open_fade(double opacity) override;
  void close_group() override;
  /// With attributes of SVG's own, a rotation say.
  void open_group(std::string_view attributes);

  /// The whole file.
  [[nodiscard]] std::string finish(double width_px, double height_px, std::string_view title) const;

 private:
  std::string body_;
  int n_clips_ = 0;
};

}  // namespace steepwright::io
