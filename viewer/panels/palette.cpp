#include "viewer/panels/palette.h"

namespace steepwright::viewer {

namespace {

ImVec4 grey(float value, float tint = 0.0F) { return {value, value + 0.3F * tint, value + tint, 1.0F}; }

void set_sizes(const Palette& palette, ImGuiStyle& style) {
  style.WindowRounding = 0.0F;
  style.FrameRounding = 3.0F;
  style.GrabRounding = 3.0F;
  style.PopupRounding = 4.0F;
  style.ScrollbarRounding = 6.0F;
  style.TabRounding = 3.0F;
  style.WindowPadding = ImVec2(10.0F, 8.0F);
  style.FramePadding = ImVec2(7.0F, 3.0F);
  style.ItemSpacing = ImVec2(7.0F, 5.0F);
  style.ItemInnerSpacing = ImVec2(6.0F, 4.0F);
  style.CellPadding = ImVec2(5.0F, 3.0F);
  style.ScrollbarSize = 12.0F;
  style.GrabMinSize = 10.0F;
  style.WindowBorderSize = 0.0F;
  style.PopupBorderSize = 1.0F;
  style.ScaleAllSizes(palette.scale);
}

}  // namespace

ImU32 Palette::use_color(double use) const {
  const render::Color color = render::find_use_color(static_cast<float>(use), theme);
  return to_u32({color.r, color.g, color.b, 1.0F});
}

ImVec4 faded(const ImVec4& color, float opacity) { return {color.x, color.y, color.z, color.w * opacity}; }

Palette make_palette(render::Theme theme, float scale) {
  Palette palette;
  palette.theme = theme;
  palette.scale = scale;
  if (theme == render::Theme::kDark) {
    palette.text = grey(0.90F, 0.01F);
    palette.faint_text = grey(0.62F, 0.02F);
    palette.panel = grey(0.125F, 0.012F);
    palette.raised = grey(0.17F, 0.014F);
    palette.frame = grey(0.23F, 0.016F);
    palette.line = grey(0.31F, 0.018F);
    palette.strong = grey(0.42F, 0.02F);
  } else {
    palette.text = grey(0.12F);
    palette.faint_text = grey(0.40F);
    palette.panel = grey(0.945F, 0.004F);
    palette.raised = grey(0.985F, 0.002F);
    palette.frame = grey(0.865F, 0.006F);
    palette.line = grey(0.77F, 0.008F);
    palette.strong = grey(0.66F, 0.01F);
  }
  return palette;
}

void apply_style(const Palette& palette) {
  ImGuiStyle style;
  set_sizes(palette, style);
  ImVec4* colors = style.Colors;
  for (int i = 0; i < ImGuiCol_COUNT; ++i) colors[i] = palette.frame;
  const ImVec4 clear(0.0F, 0.0F, 0.0F, 0.0F);
  colors[ImGuiCol_Text] = palette.text;
  colors[ImGuiCol_TextDisabled] = palette.faint_text;
  colors[ImGuiCol_WindowBg] = palette.panel;
  colors[ImGuiCol_ChildBg] = clear;
  colors[ImGuiCol_PopupBg] = palette.raised;
  colors[ImGuiCol_Border] = palette.line;
  colors[ImGuiCol_BorderShadow] = clear;
  colors[ImGuiCol_FrameBg] = palette.frame;
  colors[ImGuiCol_FrameBgHovered] = palette.line;
  colors[ImGuiCol_FrameBgActive] = palette.line;
  colors[ImGuiCol_MenuBarBg] = palette.raised;
  colors[ImGuiCol_TitleBg] = palette.raised;
  colors[ImGuiCol_TitleBgActive] = palette.raised;
  colors[ImGuiCol_ScrollbarBg] = clear;
  colors[ImGuiCol_ScrollbarGrab] = palette.line;
  colors[ImGuiCol_ScrollbarGrabHovered] = palette.strong;
  colors[ImGuiCol_ScrollbarGrabActive] = palette.strong;
  colors[ImGuiCol_CheckMark] = palette.text;
  // The value stands over the grab: it must be read there too.
  colors[ImGuiCol_SliderGrab] = palette.strong;
  colors[ImGuiCol_SliderGrabActive] = palette.strong;
  colors[ImGuiCol_Button] = palette.frame;
  colors[ImGuiCol_ButtonHovered] = palette.line;
  colors[ImGuiCol_ButtonActive] = palette.strong;
  colors[ImGuiCol_Header] = palette.frame;
  colors[ImGuiCol_HeaderHovered] = palette.line;
  colors[ImGuiCol_HeaderActive] = palette.strong;
  colors[ImGuiCol_Separator] = palette.line;
  colors[ImGuiCol_Tab] = palette.panel;
  colors[ImGuiCol_TabHovered] = palette.line;
  colors[ImGuiCol_TabActive] = palette.frame;
  colors[ImGuiCol_TabUnfocused] = palette.panel;
  colors[ImGuiCol_TabUnfocusedActive] = palette.frame;
  colors[ImGuiCol_TableHeaderBg] = palette.raised;
  colors[ImGuiCol_TableBorderLight] = palette.frame;
  colors[ImGuiCol_TableBorderStrong] = palette.line;
  colors[ImGuiCol_TableRowBg] = clear;
  colors[ImGuiCol_TableRowBgAlt] = faded(palette.frame, 0.35F);
  colors[ImGuiCol_TextSelectedBg] = palette.strong;
  colors[ImGuiCol_NavHighlight] = palette.strong;
  colors[ImGuiCol_ModalWindowDimBg] = {0.0F, 0.0F, 0.0F, 0.45F};
  ImGui::GetStyle() = style;
}

}  // namespace steepwright::viewer
