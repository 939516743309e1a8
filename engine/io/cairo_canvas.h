#pragma once

/// Draws with Cairo: bitmaps (PNG) and printed pages (PDF). The file's bytes are kept in memory, so that they can be
/// saved atomically.

#include "engine/core/error.h"
#include "engine/io/canvas.h"

#include <memory>
#include <string>
#include <string_view>
#include <vector>

// The library's own types, so that its header stays in one file.
struct _cairo;          // NOLINT(readability-identifier-naming)
struct _cairo_surface;  // NOLINT(readability-identifier-naming)

namespace steepwright::io {

enum class CairoFormat { kPng, kPdf };

class CairoCanvas final : public Canvas {
 public:
  /// A white page. PNG: `px_per_unit` pixels for each px of the drawing; PDF: one px of the drawing is 1/96 inch.
  CairoCanvas(CairoFormat format, const Vec2& size_px, double px_per_unit, std::string_view title);
  ~CairoCanvas() override;

  void line(const Vec2& a, const Vec2& b, const Paint& paint) override;
  void polyline(const std::vector<Vec2>& points, const Paint& paint) override;
  void polygon(const std::vector<Vec2>& points, const Paint& paint) override;
  void circle(const Vec2& centre, double radius_px, const Paint& paint) override;
  void rectangle(const Vec2& corner, const Vec2& size, double rounding_px, const Paint& paint) override;
  void text(const Vec2& at, std::string_view text, const TextStyle& style) override;
  void open_clip(const Vec2& corner, const Vec2& size) override;
  void open_fade(double opacity) override;
  void close_group() override;

  /// The whole file; a failure when Cairo could not make it (a bitmap too large). Nothing may be drawn after.
  [[nodiscard]] Result<std::string> finish();

 private:
  struct EndSurface {
    void operator()(_cairo_surface* surface) const;
  };
  struct EndContext {
    void operator()(_cairo* context) const;
  };
  /// Fills and strokes the current path.
  void draw_path(const Paint& paint);

  CairoFormat format_;
  std::string bytes_;
  std::unique_ptr<_cairo_surface, EndSurface> surface_;
  std::unique_ptr<_cairo, EndContext> context_;
  std::vector<double> fades_;  ///< of the open groups; negative: a clip
};

}  // namespace steepwright::io
