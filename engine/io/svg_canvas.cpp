#include "engine/io/svg_canvas.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>

namespace steepwright::io {

namespace {

using Rgb = std::array<double, 3>;

// Evenly spaced samples from dark blue over grey to yellow; lightness rises by equal steps.
constexpr std::array<Rgb, 9> kUseScale = {{{0, 34, 78},
                                           {33, 54, 108},
                                           {71, 75, 109},
                                           {98, 98, 112},
                                           {124, 123, 120},
                                           {152, 148, 118},
                                           {183, 176, 107},
                                           {218, 205, 88},
                                           {253, 234, 69}}};

// Letters as wide as their class in a common sans serif face, in em.
double find_letter_width(unsigned char letter) {
  constexpr std::string_view kNarrow = "ijlt.,:;'|!()[]/ frI";
  constexpr std::string_view kWide = "mwMW%@";
  if (kNarrow.find(static_cast<char>(letter)) != std::string_view::npos) return 0.36;
  if (kWide.find(static_cast<char>(letter)) != std::string_view::npos) return 0.95;
  if (letter >= 'A' && letter <= 'Z') return 0.72;
  return 0.62;
}

std::string paint_attributes(const Paint& paint) {
  std::string text = fmt::format(R"( fill="{}")", paint.fill);
  if (paint.stroke != "none")
    text += fmt::format(R"( stroke="{}" stroke-width="{:.2f}" stroke-linecap="round" stroke-linejoin="round")",
                        paint.stroke, paint.width_px);
  if (!paint.dash.empty()) text += fmt::format(R"( stroke-dasharray="{}")", paint.dash);
  if (paint.opacity < 1.0) text += fmt::format(R"( opacity="{:.2f}")", paint.opacity);
  return text;
}

std::string join_points(const std::vector<Vec2>& points) {
  std::string text;
  for (const Vec2& point : points)
    fmt::format_to(std::back_inserter(text), "{}{:.2f},{:.2f}", text.empty() ? "" : " ", point.x(), point.y());
  return text;
}

}  // namespace

std::string escape_xml(std::string_view text) {
  std::string safe;
  for (const char letter : text) {
    switch (letter) {
      case '&':
        safe += "&amp;";
        break;
      case '<':
        safe += "&lt;";
        break;
      case '>':
        safe += "&gt;";
        break;
      case '"':
        safe += "&quot;";
        break;
      case '\'':
        safe += "&#39;";
        break;
      default:
        safe += static_cast<unsigned char>(letter) < 0x20 || letter == 0x7F ? ' ' : letter;
    }
  }
  return safe;
}

std::string use_colour(double use) {
  const double place = std::clamp(std::isfinite(use) ? use : 1.0, 0.0, 1.0) * static_cast<double>(kUseScale.size() - 1);
  const auto low = std::min(static_cast<std::size_t>(place), kUseScale.size() - 2);
  const double share = place - static_cast<double>(low);
  std::array<int, 3> mixed{};
  for (std::size_t i = 0; i < 3; ++i) {
    mixed[i] = static_cast<int>(std::lround(kUseScale[low][i] * (1.0 - share) + kUseScale[low + 1][i] * share));
  }
  return fmt::format("#{:02x}{:02x}{:02x}", mixed[0], mixed[1], mixed[2]);
}

double estimate_text_width(std::string_view text, double size_px) {
  double width = 0.0;
  for (const char letter : text) {
    const auto byte = static_cast<unsigned char>(letter);
    if ((byte & 0xC0U) != 0x80U) width += find_letter_width(byte);  // one a code point
  }
  return width * size_px;
}

std::vector<std::string> wrap_text(std::string_view text, double size_px, double width_px) {
  std::vector<std::string> lines;
  std::string line;
  std::size_t start = 0;
  while (start <= text.size()) {
    const std::size_t space = std::min(text.find(' ', start), text.size());
    const std::string word(text.substr(start, space - start));
    const std::string longer = line.empty() ? word : line + " " + word;
    if (!line.empty() && estimate_text_width(longer, size_px) > width_px) {
      lines.push_back(line);
      line = word;
    } else {
      line = longer;
    }
    start = space + 1;
  }
  if (!line.empty()) lines.push_back(line);
  return lines;
}

void SvgCanvas::line(const Vec2& a, const Vec2& b, const Paint& paint) {
  body_ += fmt::format(R"(<line x1="{:.2f}" y1="{:.2f}" x2="{:.2f}" y2="{:.2f}"{}/>)"
                       "\n",
                       a.x(), a.y(), b.x(), b.y(), paint_attributes(paint));
}

void SvgCanvas::polyline(const std::vector<Vec2>& points, const Paint& paint) {
  body_ += fmt::format(R"(<polyline points="{}"{}/>)"
                       "\n",
                       join_points(points), paint_attributes(paint));
}

void SvgCanvas::polygon(const std::vector<Vec2>& points, const Paint& paint) {
  body_ += fmt::format(R"(<polygon points="{}"{}/>)"
                       "\n",
                       join_points(points), paint_attributes(paint));
}

void SvgCanvas::circle(const Vec2& centre, double radius_px, const Paint& paint) {
  body_ += fmt::format(R"(<circle cx="{:.2f}" cy="{:.2f}" r="{:.2f}"{}/>)"
                       "\n",
                       centre.x(), centre.y(), radius_px, paint_attributes(paint));
}

void SvgCanvas::rectangle(const Vec2& corner, const Vec2& size, double rounding_px, const Paint& paint) {
  body_ += fmt::format(R"(<rect x="{:.2f}" y="{:.2f}" width="{:.2f}" height="{:.2f}" rx="{:.2f}"{}/>)"
                       "\n",
                       corner.x(), corner.y(), size.x(), size.y(), rounding_px, paint_attributes(paint));
}

void SvgCanvas::text(const Vec2& at, std::string_view text, const TextStyle& style) {
  const std::string halo =
      style.halo ? R"( stroke="#ffffff" stroke-width="3.5" stroke-linejoin="round" paint-order="stroke")" : "";
  body_ += fmt::format(R"(<text x="{:.2f}" y="{:.2f}" font-size="{:.1f}" fill="{}" text-anchor="{}"{}{}>{}</text>)"
                       "\n",
                       at.x(), at.y(), style.size_px, style.fill, style.anchor,
                       style.bold ? R"( font-weight="600")" : "", halo, escape_xml(text));
}

void SvgCanvas::open_clip(const Vec2& corner, const Vec2& size) {
  ++n_clips_;
  body_ += fmt::format(
      R"(<clipPath id="view{0}"><rect x="{1:.2f}" y="{2:.2f}" width="{3:.2f}" height="{4:.2f}"/></clipPath>)"
      "\n"
      R"(<g clip-path="url(#view{0}{5}">)"
      "\n",
      n_clips_, corner.x(), corner.y(), size.x(), size.y(), ")");
}

void SvgCanvas::open_group(std::string_view attributes) { body_ += fmt::format("<g {}>\n", attributes); }

void SvgCanvas::open_fade(double opacity) { open_group(fmt::format(R"(opacity="{:.2f}")", opacity)); }

void SvgCanvas::close_group() { body_ += "</g>\n"; }

std::string SvgCanvas::finish(double width_px, double height_px, std::string_view title) const {
  return fmt::format(R"(<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" width="{0:.0f}" height="{1:.0f}" viewBox="0 0 {0:.0f} {1:.0f}" font-family="Inter, 'DejaVu Sans', Arial, sans-serif">
<title>{2}</title>
<rect width="100%" height="100%" fill="#ffffff"/>
{3}</svg>
)",
                     width_px, height_px, escape_xml(title), body_);
}

}  // namespace steepwright::io
