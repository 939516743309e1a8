#include "viewer/panels/plot.h"

#include "engine/io/plot.h"
#include "viewer/panels/dashes.h"

#include <fmt/format.h>
#include <imgui/imgui.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace steepwright::viewer {

namespace {

/// The inner rectangle of a plot and its scales.
struct Area {
  ImVec2 lower, upper;
  PlotRange x, y;

  [[nodiscard]] ImVec2 at(double px, double py) const {
    const double u = (px - x.lower) / (x.upper - x.lower);
    const double v = (py - y.lower) / (y.upper - y.lower);
    return {lower.x + static_cast<float>(u) * (upper.x - lower.x),
            upper.y - static_cast<float>(v) * (upper.y - lower.y)};
  }
};

std::string tick_text(double value, double step) {
  if (std::abs(value) < 1e-9 * step) value = 0.0;
  return step >= 1.0 ? fmt::format("{:.0f}", value) : fmt::format("{:.{}f}", value, step >= 0.1 ? 1 : 2);
}

void draw_axes(const PanelContext& context, const Plot& plot, const Area& area, ImDrawList& list) {
  const Palette& palette = context.palette;
  const float font = ImGui::GetFontSize();
  const ImU32 grid = to_u32(faded(palette.line, 0.55F));
  const ImU32 text = to_u32(palette.faint_text);
  list.AddRectFilled(area.lower, area.upper, to_u32(palette.raised));
  const double y_step = io::find_tick_step(
      plot.y.upper - plot.y.lower, std::max(2, static_cast<int>((area.upper.y - area.lower.y) / (2.2F * font))));
  for (double y = std::ceil(plot.y.lower / y_step) * y_step; y <= plot.y.upper + 1e-9 * y_step; y += y_step) {
    const ImVec2 p = area.at(plot.x.lower, y);
    list.AddLine(p, {area.upper.x, p.y}, grid);
    const std::string label = tick_text(y, y_step);
    list.AddText({p.x - ImGui::CalcTextSize(label.c_str()).x - 0.4F * font, p.y - 0.5F * font}, text, label.c_str());
  }
  for (const double y : plot.y_marks) {
    if (y < plot.y.lower || y > plot.y.upper) continue;
    const ImVec2 p = area.at(plot.x.lower, y);
    list.AddLine(p, {area.upper.x, p.y}, to_u32(palette.text), palette.scale);
  }
  const double x_step = io::find_tick_step(
      plot.x.upper - plot.x.lower, std::max(2, static_cast<int>((area.upper.x - area.lower.x) / (5.0F * font))));
  for (double x = std::ceil(plot.x.lower / x_step) * x_step; x <= plot.x.upper + 1e-9 * x_step; x += x_step) {
    const ImVec2 p = area.at(x, plot.y.lower);
    list.AddLine({p.x, p.y}, {p.x, p.y + 0.25F * font}, grid);
    const std::string label = tick_text(x, x_step);
    list.AddText({p.x - 0.5F * ImGui::CalcTextSize(label.c_str()).x, p.y + 0.3F * font}, text, label.c_str());
  }
  float last_right = area.lower.x;
  for (const auto& [x, label] : plot.x_marks) {
    const ImVec2 p = area.at(x, plot.y.upper);
    list.AddLine({p.x, area.lower.y}, {p.x, area.upper.y}, grid);
    const float width = ImGui::CalcTextSize(label.c_str()).x;
    const float left = std::clamp(p.x + 0.3F * font, area.lower.x, std::max(area.lower.x, area.upper.x - width));
    if (left < last_right) continue;
    list.AddText({left, area.lower.y - 1.15F * font}, text, label.c_str());
    last_right = left + width + 0.5F * font;
  }
  list.AddText({area.lower.x, area.upper.y + 1.35F * font}, text, plot.x_title.c_str());
}

void draw_piece(const Palette& palette, const ImVec2& a, const ImVec2& b, ImU32 color, const PlotLine& line,
                float& along, ImDrawList& list) {
  const float dash = line.dash * palette.scale;
  draw_dashed_piece(a, b, color, line.width * palette.scale, {dash, dash}, along, list);
}

void draw_band(const PanelContext& context, const PlotBand& band, const Area& area, ImDrawList& list) {
  const ImU32 color = to_u32(faded(context.palette.text, band.opacity));
  // Smoothed edges of neighbours would show as seams.
  const ImDrawListFlags flags = std::exchange(list.Flags, list.Flags & ~ImDrawListFlags_AntiAliasedFill);
  const auto is_finite = [](const PlotBand::Slice& slice) {
    return std::isfinite(slice.low) && std::isfinite(slice.high);
  };
  for (std::size_t i = 0; i + 1 < band.slices.size(); ++i) {
    const PlotBand::Slice& a = band.slices[i];
    const PlotBand::Slice& b = band.slices[i + 1];
    if (!is_finite(a) || !is_finite(b)) continue;
    list.AddQuadFilled(area.at(a.x, a.low), area.at(b.x, b.low), area.at(b.x, b.high), area.at(a.x, a.high), color);
  }
  list.Flags = flags;
}

void draw_line(const PanelContext& context, const PlotLine& line, const Area& area, ImDrawList& list) {
  float along = 0.0F;
  for (std::size_t i = 0; i + 1 < line.points.size(); ++i) {
    const PlotPoint& a = line.points[i];
    const PlotPoint& b = line.points[i + 1];
    if (!std::isfinite(a.y) || !std::isfinite(b.y)) continue;
    const double use = 0.5 * (a.use + b.use);
    const ImU32 color = use >= 0.0 ? context.palette.use_color(use) : to_u32(context.palette.text);
    draw_piece(context.palette, area.at(a.x, a.y), area.at(b.x, b.y), color, line, along, list);
  }
}

// Names at the right ends, pushed apart so that none lies on another.
void draw_labels(const PanelContext& context, const Plot& plot, const Area& area, ImDrawList& list) {
  const float font = ImGui::GetFontSize();
  struct Label {
    float y;
    const PlotLine* line;
  };
  std::vector<Label> labels;
  for (const PlotLine& line : plot.lines) {
    const auto last = std::find_if(line.points.rbegin(), line.points.rend(),
                                   [](const PlotPoint& point) { return std::isfinite(point.y); });
    if (last == line.points.rend()) continue;
    labels.push_back({std::clamp(area.at(last->x, last->y).y, area.lower.y, area.upper.y), &line});
  }
  std::sort(labels.begin(), labels.end(), [](const Label& a, const Label& b) { return a.y < b.y; });
  float free_y = area.lower.y - 0.5F * font;
  for (Label& label : labels) {
    label.y = std::max(label.y, free_y + 0.5F * font);
    free_y = label.y + 0.55F * font;
  }
  float lowest = area.upper.y + 0.5F * font;
  for (auto label = labels.rbegin(); label != labels.rend(); ++label) {
    label->y = std::min(label->y, lowest - 0.5F * font);
    lowest = label->y - 0.55F * font;
    const float left = area.upper.x + 0.4F * font;
    PlotLine sample = *label->line;
    float along = 0.0F;
    draw_piece(context.palette, {left, label->y}, {left + 1.6F * font, label->y}, to_u32(context.palette.text), sample,
               along, list);
    list.AddText({left + 2.0F * font, label->y - 0.5F * font}, to_u32(context.palette.text),
                 label->line->label.c_str());
  }
}

float find_label_width(const Plot& plot) {
  float width = 0.0F;
  for (const PlotLine& line : plot.lines) width = std::max(width, ImGui::CalcTextSize(line.label.c_str()).x);
  return plot.lines.empty() ? 0.0F : width + 2.4F * ImGui::GetFontSize();
}

}  // namespace

std::optional<double> draw_plot(const PanelContext& context, const char* name, const Plot& plot) {
  const float font = ImGui::GetFontSize();
  const ImVec2 corner = ImGui::GetCursorScreenPos();
  const ImVec2 size = ImGui::GetContentRegionAvail();
  Area area;
  area.x = plot.x;
  area.y = plot.y;
  area.lower = {corner.x + 2.8F * font, corner.y + 1.3F * font};
  area.upper = {corner.x + size.x - find_label_width(plot) - 0.3F * font, corner.y + size.y - 2.5F * font};
  if (area.upper.x < area.lower.x + 4.0F * font || area.upper.y < area.lower.y + 2.0F * font) return std::nullopt;

  ImGui::SetCursorScreenPos(area.lower);
  ImGui::InvisibleButton(name, {area.upper.x - area.lower.x, area.upper.y - area.lower.y});
  const bool is_held = ImGui::IsItemActive();
  context.marks.note(name, {area.lower.x, area.lower.y, area.upper.x, area.upper.y});

  ImDrawList& list = *ImGui::GetWindowDrawList();
  draw_axes(context, plot, area, list);
  list.PushClipRect(area.lower, area.upper, true);
  for (const PlotBand& band : plot.bands) draw_band(context, band, area, list);
  for (const PlotLine& line : plot.lines) draw_line(context, line, area, list);
  list.PopClipRect();
  const float cursor = area.at(std::clamp(plot.cursor_x, plot.x.lower, plot.x.upper), plot.y.lower).x;
  list.AddLine({cursor, area.lower.y}, {cursor, area.upper.y}, to_u32(context.palette.text),
               1.5F * context.palette.scale);
  list.AddTriangleFilled({cursor - 0.4F * font, area.upper.y + 0.5F * font},
                         {cursor + 0.4F * font, area.upper.y + 0.5F * font}, {cursor, area.upper.y},
                         to_u32(context.palette.text));
  draw_labels(context, plot, area, list);
  ImGui::SetCursorScreenPos({corner.x, corner.y + size.y});
  ImGui::Dummy({0.0F, 0.0F});
  if (!is_held) return std::nullopt;
  const double share = (ImGui::GetIO().MousePos.x - area.lower.x) / (area.upper.x - area.lower.x);
  return plot.x.lower + std::clamp(share, 0.0, 1.0) * (plot.x.upper - plot.x.lower);
}

}  // namespace steepwright::viewer
