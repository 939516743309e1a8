#include "viewer/panels/polar.h"

#include "engine/core/limb.h"
#include "engine/core/units.h"
#include "viewer/panels/dashes.h"
#include "viewer/panels/widgets.h"

#include <fmt/format.h>
#include <imgui/imgui.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <span>
#include <vector>

namespace steepwright::viewer {

namespace {

constexpr int kSteps = 72;
// A pattern for each grip, layout units.
constexpr std::array<Dashes, 9> kPatterns = {{{0.0F, 0.0F},
                                              {8.0F, 6.0F},
                                              {2.5F, 2.5F},
                                              {5.0F, 3.5F},
                                              {12.0F, 3.0F},
                                              {1.5F, 4.0F},
                                              {3.0F, 7.0F},
                                              {5.0F, 9.0F},
                                              {16.0F, 6.0F}}};
static_assert(kPatterns.size() == kGrips.size());

/// Polar axes: the pull straight against the floor points down, outward pulls to the left (away from the wall).
struct Dial {
  ImVec2 middle;
  float radius = 1.0F;
  double most_N = 1.0;

  [[nodiscard]] ImVec2 at(double angle, double force_N) const {
    const auto r = static_cast<float>(force_N / most_N) * radius;
    return {middle.x - r * static_cast<float>(std::sin(angle)), middle.y + r * static_cast<float>(std::cos(angle))};
  }
};

double round_up(double value) {
  const double power = std::pow(10.0, std::floor(std::log10(std::max(value, 1.0))));
  for (const double factor : {1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0}) {
    if (factor * power >= value) return factor * power;
  }
  return 10.0 * power;
}

std::vector<ImVec2> make_curve(const CapacitySet& set, const Dial& dial) {
  std::vector<ImVec2> curve;
  curve.reserve(kSteps + 3);
  const grip::AngleRange held = grip::find_held_pulls(set);
  curve.push_back(dial.middle);
  for (int i = 0; i <= kSteps; ++i) {
    const double angle = held.at(static_cast<double>(i) / kSteps);
    if (const auto force_N = grip::find_held_force(set, angle)) curve.push_back(dial.at(angle, *force_N));
  }
  curve.push_back(dial.middle);
  return curve;
}

void draw_dial(const PanelContext& context, const Dial& dial, ImDrawList& list) {
  const float font = ImGui::GetFontSize();
  const ImU32 grid = to_u32(faded(context.palette.line, 0.7F));
  const ImU32 text = to_u32(context.palette.faint_text);
  for (const double share : {0.5, 1.0}) {
    const double force_N = share * dial.most_N;
    for (int deg = -60; deg <= 90; deg += 5) list.PathLineTo(dial.at(rad_from_deg(deg), force_N));
    list.PathStroke(grid, ImDrawFlags_None, context.palette.scale);
    const std::string label = fmt::format("{:.0f} N", force_N);
    const ImVec2 p = dial.at(rad_from_deg(-60.0), force_N);
    list.AddText({p.x + 0.3F * font, p.y - 0.6F * font}, text, label.c_str());
  }
  for (const int deg : {-30, 0, 30, 60, 90}) {
    const ImVec2 end = dial.at(rad_from_deg(deg), 1.02 * dial.most_N);
    list.AddLine(dial.middle, end, grid, context.palette.scale);
    const std::string label = deg == 0 ? "down" : deg == 90 ? "out" : fmt::format("{}°", deg);
    const ImVec2 size = ImGui::CalcTextSize(label.c_str());
    const ImVec2 p = dial.at(rad_from_deg(deg), 1.09 * dial.most_N);
    list.AddText({p.x - 0.5F * size.x, p.y - 0.5F * size.y}, text, label.c_str());
  }
}

ImU32 color_of(const PanelContext& context, bool is_shown) {
  return to_u32(is_shown ? context.palette.text : context.palette.faint_text);
}

void draw_curve(const PanelContext& context, std::span<const ImVec2> curve, std::size_t row, bool is_shown) {
  const float scale = context.palette.scale;
  const Dashes& pattern = kPatterns[row % kPatterns.size()];
  float along = 0.0F;
  for (std::size_t i = 0; i + 1 < curve.size(); ++i)
    draw_dashed_piece(curve[i], curve[i + 1], color_of(context, is_shown), (is_shown ? 2.6F : 1.3F) * scale,
                      {pattern.dash * scale, pattern.gap * scale}, along, *ImGui::GetWindowDrawList());
}

}  // namespace

void draw_line_sample(const PanelContext& context, std::size_t row, bool is_shown) {
  const float font = ImGui::GetFontSize();
  const float length = 2.0F * font;
  const ImVec2 corner = ImGui::GetCursorScreenPos();
  const float y = corner.y + 0.55F * font;
  const std::array<ImVec2, 2> line = {{{corner.x, y}, {corner.x + length, y}}};
  draw_curve(context, line, row, is_shown);
  ImGui::Dummy({length, font});
}

void draw_polar(const PanelContext& context, const grip::Survey& survey, std::optional<Grip> shown,
                const std::optional<PresentPull>& pull) {
  const float font = ImGui::GetFontSize();
  const ImVec2 corner = ImGui::GetCursorScreenPos();
  const float width = ImGui::GetContentRegionAvail().x;
  Dial dial;
  // Outward to the left, up to 60 degrees inward to the right.
  dial.radius = (width - 5.5F * font) / 1.87F;
  dial.middle = {corner.x + dial.radius + 2.0F * font, corner.y + 1.2F * font};
  double most_N = pull ? pull->force_N : 1.0;
  for (const grip::SurveyedGrip& grip : survey.grips) {
    const grip::AngleRange held = grip::find_held_pulls(grip.set);
    for (int i = 0; i <= kSteps; ++i)
      most_N =
          std::max(most_N, grip::find_held_force(grip.set, held.at(static_cast<double>(i) / kSteps)).value_or(0.0));
  }
  dial.most_N = round_up(most_N);
  const float height = 1.13F * dial.radius + 2.2F * font;
  ImGui::Dummy({width, height});
  context.marks.note_last_item("grips.polar");
  explain("Most force of one hand along each pull: straight against the floor points down, outward to the left.");
  ImDrawList& list = *ImGui::GetWindowDrawList();
  draw_dial(context, dial, list);
  for (std::size_t i = 0; i < survey.grips.size(); ++i)
    draw_curve(context, make_curve(survey.grips[i].set, dial), i, shown == survey.grips[i].grip);
  if (!pull) return;
  const ImVec2 tip = dial.at(pull->angle, pull->force_N);
  const ImU32 color = context.palette.use_color(pull->use);
  list.AddLine(dial.middle, tip, color, 3.0F * context.palette.scale);
  list.AddCircleFilled(tip, 4.5F * context.palette.scale, color);
  list.AddCircle(tip, 4.5F * context.palette.scale, to_u32(context.palette.text), 0, context.palette.scale);
}

}  // namespace steepwright::viewer
