#include "engine/io/cairo_canvas.h"

#include "engine/core/contract.h"
#include "engine/core/units.h"

#include <cairo-pdf.h>
#include <cairo.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>

namespace steepwright::io {

namespace {

constexpr double kPointsPerPx = 0.75;  // 72 points, 96 px an inch
constexpr double kHalo_px = 3.5;
constexpr const char* kFace = "Inter";  // Cairo takes the system's sans serif where it is missing

cairo_status_t append_bytes(void* bytes, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(bytes)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

/// "#rrggbb".
void set_colour(cairo_t* context, const std::string& colour, double opacity) {
  STEEPWRIGHT_ASSERT(colour.size() == 7 && colour[0] == '#');
  const auto channel = [&colour](std::size_t at) {
    return static_cast<double>(std::strtol(colour.substr(at, 2).c_str(), nullptr, 16)) / 255.0;
  };
  cairo_set_source_rgba(context, channel(1), channel(3), channel(5), opacity);
}

/// Lengths as in stroke-dasharray.
void set_dash(cairo_t* context, const std::string& dash) {
  std::array<double, 12> lengths{};
  int n = 0;
  const char* next = dash.c_str();
  while (n < static_cast<int>(lengths.size())) {
    char* end = nullptr;
    const double length = std::strtod(next, &end);
    if (end == next) break;
    lengths[static_cast<std::size_t>(n++)] = length;
    next = end;
  }
  cairo_set_dash(context, lengths.data(), n, 0.0);
}

/// Control characters would end the text.
std::string make_drawable(std::string_view text) {
  std::string safe(text);
  std::replace_if(
      safe.begin(), safe.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7F; }, ' ');
  return safe;
}

}  // namespace

void CairoCanvas::EndSurface::operator()(_cairo_surface* surface) const { cairo_surface_destroy(surface); }
void CairoCanvas::EndContext::operator()(_cairo* context) const { cairo_destroy(context); }

CairoCanvas::CairoCanvas(CairoFormat format, const Vec2& size_px, double px_per_unit, std::string_view title)
    : format_(format) {
  const bool is_png = format == CairoFormat::kPng;
  const double scale = is_png ? px_per_unit : kPointsPerPx;
  if (is_png) {
    surface_.reset(cairo_image_surface_create(CAIRO_FORMAT_RGB24, static_cast<int>(std::ceil(size_px.x() * scale)),
                                              static_cast<int>(std::ceil(size_px.y() * scale))));
  } else {
    surface_.reset(
        cairo_pdf_surface_create_for_stream(append_bytes, &bytes_, size_px.x() * scale, size_px.y() * scale));
    cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_TITLE, make_drawable(title).c_str());
    // The same drawing gives the same file: no time of writing.
    cairo_pdf_surface_set_metadata(surface_.get(), CAIRO_PDF_METADATA_CREATE_DATE, "");
  }
  context_.reset(cairo_create(surface_.get()));
  cairo_scale(context_.get(), scale, scale);
  cairo_set_line_cap(context_.get(), CAIRO_LINE_CAP_ROUND);
  cairo_set_line_join(context_.get(), CAIRO_LINE_JOIN_ROUND);
  set_colour(context_.get(), "#ffffff", 1.0);
  cairo_paint(context_.get());
}

CairoCanvas::~CairoCanvas() = default;

void CairoCanvas::draw_path(const Paint& paint) {
  cairo_t* context = context_.get();
  if (paint.fill != "none") {
    set_colour(context, paint.fill, paint.opacity);
    cairo_fill_preserve(context);
  }
  if (paint.stroke != "none") {
    set_colour(context, paint.stroke, paint.opacity);
    cairo_set_line_width(context, paint.width_px);
    set_dash(context, paint.dash);
    cairo_stroke_preserve(context);
  }
  cairo_new_path(context);
}

void CairoCanvas::line(const Vec2& a, const Vec2& b, const Paint& paint) { polyline({a, b}, paint); }

void CairoCanvas::polyline(const std::vector<Vec2>& points, const Paint& paint) {
  for (const Vec2& point : points) cairo_line_to(context_.get(), point.x(), point.y());
  draw_path(paint);
}

void CairoCanvas::polygon(const std::vector<Vec2>& points, const Paint& paint) {
  for (const Vec2& point : points) cairo_line_to(context_.get(), point.x(), point.y());
  cairo_close_path(context_.get());
  draw_path(paint);
}

void CairoCanvas::circle(const Vec2& centre, double radius_px, const Paint& paint) {
  cairo_new_sub_path(context_.get());
  cairo_arc(context_.get(), centre.x(), centre.y(), radius_px, 0.0, 2.0 * kPi);
  cairo_close_path(context_.get());
  draw_path(paint);
}

void CairoCanvas::rectangle(const Vec2& corner, const Vec2& size, double rounding_px, const Paint& paint) {
  cairo_t* context = context_.get();
  if (rounding_px <= 0.0) {
    cairo_rectangle(context, corner.x(), corner.y(), size.x(), size.y());
  } else {
    const Vec2 low = corner + Vec2::Constant(rounding_px);
    const Vec2 high = corner + size - Vec2::Constant(rounding_px);
    cairo_new_sub_path(context);
    cairo_arc(context, high.x(), low.y(), rounding_px, -0.5 * kPi, 0.0);
    cairo_arc(context, high.x(), high.y(), rounding_px, 0.0, 0.5 * kPi);
    cairo_arc(context, low.x(), high.y(), rounding_px, 0.5 * kPi, kPi);
    cairo_arc(context, low.x(), low.y(), rounding_px, kPi, 1.5 * kPi);
    cairo_close_path(context);
  }
  draw_path(paint);
}

void CairoCanvas::text(const Vec2& at, std::string_view text, const TextStyle& style) {
  cairo_t* context = context_.get();
  const std::string drawn = make_drawable(text);
  cairo_select_font_face(context, kFace, CAIRO_FONT_SLANT_NORMAL,
                         style.bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size(context, style.size_px);
  cairo_text_extents_t extents;
  cairo_text_extents(context, drawn.c_str(), &extents);
  const double back = style.anchor == "end" ? 1.0 : style.anchor == "middle" ? 0.5 : 0.0;
  const Vec2 start = at - Vec2(back * extents.x_advance, 0.0);
  if (style.halo) {
    cairo_move_to(context, start.x(), start.y());
    cairo_text_path(context, drawn.c_str());
    draw_path({.stroke = "#ffffff", .width_px = kHalo_px});
  }
  set_colour(context, style.fill, 1.0);
  cairo_move_to(context, start.x(), start.y());
  cairo_show_text(context, drawn.c_str());
  cairo_new_path(context);
}

void CairoCanvas::open_clip(const Vec2& corner, const Vec2& size) {
  cairo_save(context_.get());
  cairo_rectangle(context_.get(), corner.x(), corner.y(), size.x(), size.y());
  cairo_clip(context_.get());
  fades_.push_back(-1.0);
}

void CairoCanvas::open_fade(double opacity) {
  cairo_push_group(context_.get());
  fades_.push_back(opacity);
}

void CairoCanvas::close_group() {
  STEEPWRIGHT_ASSERT(!fades_.empty());
  if (fades_.back() < 0.0) {
    cairo_restore(context_.get());
  } else {
    cairo_pop_group_to_source(context_.get());
    cairo_paint_with_alpha(context_.get(), fades_.back());
  }
  fades_.pop_back();
}

Result<std::string> CairoCanvas::finish() {
  STEEPWRIGHT_ASSERT(fades_.empty());
  cairo_status_t status = cairo_status(context_.get());
  if (status == CAIRO_STATUS_SUCCESS && format_ == CairoFormat::kPng)
    status = cairo_surface_write_to_png_stream(surface_.get(), append_bytes, &bytes_);
  cairo_surface_finish(surface_.get());
  if (status == CAIRO_STATUS_SUCCESS) status = cairo_surface_status(surface_.get());
  if (status != CAIRO_STATUS_SUCCESS)
    return failure(std::string("the picture could not be drawn: ") + cairo_status_to_string(status));
  return std::move(bytes_);
}

}  // namespace steepwright::io
