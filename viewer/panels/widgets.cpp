#include "viewer/panels/widgets.h"

#include "viewer/commands/key_limits.h"

#include <fmt/format.h>
#include <imgui/imgui.h>
#include <imgui/imgui_stdlib.h>

#include <algorithm>
#include <cmath>

namespace steepwright::viewer {

namespace {

constexpr float kTipWidth = 24.0F;    // of font size
constexpr float kLabelShare = 0.42F;  // of the panel's width

void begin_labelled(const char* label, const char* sentence) {
  const float left = ImGui::GetCursorPosX();
  ImGui::AlignTextToFramePadding();
  ImGui::TextUnformatted(label);
  explain(sentence);
  ImGui::SameLine(left + kLabelShare * (ImGui::GetContentRegionMax().x - left));
  ImGui::SetNextItemWidth(-1.0F);
}

}  // namespace

void show_tip(std::string_view text) {
  ImGui::BeginTooltip();
  ImGui::PushTextWrapPos(kTipWidth * ImGui::GetFontSize());
  ImGui::TextUnformatted(text.data(), text.data() + text.size());
  ImGui::PopTextWrapPos();
  ImGui::EndTooltip();
}

void explain(const char* sentence) {
  if (sentence != nullptr && ImGui::IsItemHovered(ImGuiHoveredFlags_AllowWhenDisabled)) show_tip(sentence);
}

void show_value(const PanelContext& context, const char* label, const std::string& value, const char* sentence) {
  ImGui::PushStyleColor(ImGuiCol_Text, context.palette.faint_text);
  ImGui::TextUnformatted(label);
  ImGui::PopStyleColor();
  explain(sentence);
  const float width = ImGui::CalcTextSize(value.c_str()).x;
  const float label_right = ImGui::GetItemRectMax().x - ImGui::GetWindowPos().x;
  const float right = ImGui::GetContentRegionMax().x - width;
  if (right > label_right + ImGui::GetStyle().ItemSpacing.x) {
    ImGui::SameLine(right);
    ImGui::TextUnformatted(value.c_str());
  } else {
    ImGui::Indent();
    ImGui::TextWrapped("%s", value.c_str());
    ImGui::Unindent();
  }
  explain(sentence);
}

SliderRange find_key_range(io::FileKind kind, std::string_view path, double steps_per_unit, const char* format) {
  const KeyLimits limits = find_key_limits(kind, path);
  return {limits.lower, limits.upper, steps_per_unit, format};
}

std::optional<double> edit_number(const PanelContext& context, const char* name, const char* label, double value,
                                  const SliderRange& range, const char* sentence) {
  ImGui::PushID(name);
  begin_labelled(label, sentence);
  double edited = value;
  const double lower = range.lower;
  const double upper = range.upper;
  const bool is_changed = ImGui::SliderScalar("##value", ImGuiDataType_Double, &edited, &lower, &upper, range.format,
                                              ImGuiSliderFlags_AlwaysClamp | ImGuiSliderFlags_NoRoundToFormat);
  context.marks.note_last_item(name);
  if (ImGui::IsItemActivated()) static_cast<void>(context.ui.begin_gesture());
  explain(sentence);
  ImGui::PopID();
  if (!is_changed) return std::nullopt;
  edited = std::clamp(std::round(edited * range.steps_per_unit) / range.steps_per_unit, lower, upper);
  return edited == value ? std::nullopt : std::optional(edited);
}

std::optional<int> edit_choice(const PanelContext& context, const char* name, const char* label,
                               const std::vector<std::string>& choices, int present, const char* sentence) {
  ImGui::PushID(name);
  begin_labelled(label, sentence);
  const auto count = static_cast<int>(choices.size());
  const char* shown = present >= 0 && present < count ? choices[static_cast<std::size_t>(present)].c_str() : "-";
  std::optional<int> chosen;
  const bool is_open = ImGui::BeginCombo("##choice", shown, ImGuiComboFlags_HeightLarge);
  context.marks.note_last_item(name);
  if (!is_open) explain(sentence);
  if (is_open) {
    for (int i = 0; i < count; ++i) {
      const std::string& choice = choices[static_cast<std::size_t>(i)];
      if (ImGui::Selectable(choice.c_str(), i == present) && i != present) chosen = i;
      context.marks.note_last_item(fmt::format("{}/{}", name, choice));
      if (i == present && ImGui::IsWindowAppearing()) ImGui::SetScrollHereY();
    }
    ImGui::EndCombo();
  }
  ImGui::PopID();
  if (chosen) static_cast<void>(context.ui.begin_gesture());
  return chosen;
}

std::optional<std::string> edit_text(const PanelContext& context, const char* name, const char* label,
                                     const std::string& present, const char* sentence) {
  ImGui::PushID(name);
  begin_labelled(label, sentence);
  auto& typed = context.ui.texts;
  const auto found = typed.find(name);
  std::string text = found == typed.end() ? present : found->second;
  const bool is_entered = ImGui::InputText("##text", &text, ImGuiInputTextFlags_EnterReturnsTrue);
  context.marks.note_last_item(name);
  const bool is_left = ImGui::IsItemDeactivatedAfterEdit();
  if (ImGui::IsItemActive()) {
    typed[name] = text;
  } else {
    typed.erase(name);
  }
  explain(sentence);
  ImGui::PopID();
  if ((!is_entered && !is_left) || text == present) return std::nullopt;
  return text;
}

bool click_button(const PanelContext& context, const char* name, const char* label, const char* sentence,
                  bool is_enabled) {
  ImGui::BeginDisabled(!is_enabled);
  const bool is_clicked = ImGui::Button(label);
  ImGui::EndDisabled();
  context.marks.note_last_item(name);
  explain(sentence);
  return is_clicked;
}

void show_heading(const PanelContext& context, const char* text) {
  ImGui::Spacing();
  ImGui::PushStyleColor(ImGuiCol_Text, context.palette.faint_text);
  ImGui::TextUnformatted(text);
  ImGui::PopStyleColor();
  const ImVec2 lower = ImGui::GetItemRectMin();
  const ImVec2 upper = ImGui::GetItemRectMax();
  const float y = 0.5F * (lower.y + upper.y);
  const float right = ImGui::GetWindowPos().x + ImGui::GetContentRegionMax().x;
  const float left = upper.x + ImGui::GetStyle().ItemSpacing.x;
  if (right > left) ImGui::GetWindowDrawList()->AddLine({left, y}, {right, y}, to_u32(context.palette.line));
}

void show_use_bar(const PanelContext& context, double use, float width, float height) {
  const ImVec2 corner = ImGui::GetCursorScreenPos();
  ImGui::Dummy({width, height});
  ImDrawList* list = ImGui::GetWindowDrawList();
  const float rounding = 0.3F * height;
  list->AddRectFilled(corner, {corner.x + width, corner.y + height}, to_u32(context.palette.frame), rounding);
  const float filled = width * static_cast<float>(std::clamp(use, 0.0, 1.0));
  // ImGui's own widgets fade by this too.
  const unsigned int color = ImGui::GetColorU32(context.palette.use_color(use));
  if (filled > 1.0F) list->AddRectFilled(corner, {corner.x + filled, corner.y + height}, color, rounding);
}

void show_wrapped(std::string_view text) {
  const float width = ImGui::GetContentRegionAvail().x;
  const auto is_digit = [text](std::size_t at) { return text[at] >= '0' && text[at] <= '9'; };
  const auto show = [](std::string_view line) { ImGui::TextUnformatted(line.data(), line.data() + line.size()); };
  ImGui::PushStyleVar(ImGuiStyleVar_ItemSpacing, {ImGui::GetStyle().ItemSpacing.x, 0.0F});
  std::size_t start = 0;
  std::size_t end = 0;  // of the words that are known to fit
  for (std::size_t i = 1; i <= text.size(); ++i) {
    const bool is_end = i == text.size();
    const bool is_unit = !is_end && i + 1 < text.size() && is_digit(i - 1) && !is_digit(i + 1);
    if (!is_end && (text[i] != ' ' || is_unit)) continue;
    if (ImGui::CalcTextSize(text.data() + start, text.data() + i).x > width && end > start) {
      show(text.substr(start, end - start));
      start = end + 1;
    }
    end = i;
  }
  ImGui::PopStyleVar();
  show(text.substr(start));
}

void show_faint(const PanelContext& context, std::string_view text) {
  ImGui::PushStyleColor(ImGuiCol_Text, context.palette.faint_text);
  show_wrapped(text);
  ImGui::PopStyleColor();
}

}  // namespace steepwright::viewer
