#include "viewer/panels/menu_bar.h"

#include "viewer/panels/widgets.h"

#include <fmt/format.h>
#include <imgui/imgui.h>

#include <string>

namespace steepwright::viewer {

namespace {

bool click_item(const PanelContext& context, const char* name, const char* label, const char* keys = nullptr,
                bool is_enabled = true, bool is_ticked = false) {
  const bool is_clicked = ImGui::MenuItem(label, keys, is_ticked, is_enabled);
  context.marks.note_last_item(name);
  return is_clicked;
}

void tick_item(const PanelContext& context, const char* name, const char* label, const char* keys, bool& value) {
  if (click_item(context, name, label, keys, true, value)) value = !value;
}

bool begin_menu(const PanelContext& context, const char* label) {
  const bool is_open = ImGui::BeginMenu(label);
  context.marks.note_last_item(fmt::format("menu.{}", label));
  return is_open;
}

// The end of a path tells more than its start.
std::string shorten(const std::string& text, std::size_t most) {
  if (text.size() <= most) return text;
  std::size_t start = text.find('/', text.size() - most);
  if (start == std::string::npos) start = text.size() - most;
  constexpr unsigned char kContinued = 0x80;  // of a letter in UTF-8, with the bit below clear
  while (start < text.size() && (static_cast<unsigned char>(text[start]) & 0xC0U) == kContinued) ++start;
  return "..." + text.substr(start);
}

void draw_recent_files(const PanelContext& context) {
  constexpr std::size_t kMostName = 40;
  constexpr std::size_t kMostFolder = 40;
  for (std::size_t i = 0; i < context.settings.recent_files.size(); ++i) {
    const auto& file = context.settings.recent_files[i];
    ImGui::PushID(static_cast<int>(i));
    if (click_item(context, fmt::format("menu.File/recent.{}", i).c_str(),
                   shorten(file.filename().string(), kMostName).c_str(),
                   shorten(file.parent_path().string(), kMostFolder).c_str()))
      context.intents.add(OpenScene{file});
    explain(file.string().c_str());
    ImGui::PopID();
  }
}

void draw_file_menu(const PanelContext& context) {
  Intents& intents = context.intents;
  if (click_item(context, "menu.File/Open", "Open ...", "Ctrl+O")) intents.add(AskOpen{});
  const bool is_recent_open = ImGui::BeginMenu("Open recent", !context.settings.recent_files.empty());
  context.marks.note_last_item("menu.File/Open recent");
  if (is_recent_open) {
    draw_recent_files(context);
    ImGui::EndMenu();
  }
  if (click_item(context, "menu.File/Example", "Open the example scene")) intents.add(OpenScene{});
  if (context.ui.is_opening && click_item(context, "menu.File/Stop", "Stop opening", "Esc")) intents.add(StopOpening{});
  ImGui::Separator();
  if (click_item(context, "menu.File/Save", "Save", "Ctrl+S")) intents.add(SaveScene{});
  if (click_item(context, "menu.File/Save as", "Save as ...", "Ctrl+Shift+S")) intents.add(AskSaveAs{});
  if (click_item(context, "menu.File/Picture", "Export a picture ...", "Ctrl+E")) intents.add(AskPicture{});
  ImGui::Separator();
  if (click_item(context, "menu.File/Quit", "Close", "Ctrl+Q")) intents.add(QuitWindow{});
}

void draw_edit_menu(const PanelContext& context) {
  const std::string undo = context.document.undo_label();
  const std::string redo = context.document.redo_label();
  const bool has_hold = context.ui.hold >= 0;
  if (click_item(context, "menu.Edit/Undo", undo.empty() ? "Undo" : ("Undo: " + undo).c_str(), "Ctrl+Z", !undo.empty()))
    context.intents.add(UndoEdit{});
  if (click_item(context, "menu.Edit/Redo", redo.empty() ? "Redo" : ("Redo: " + redo).c_str(), "Ctrl+Shift+Z",
                 !redo.empty()))
    context.intents.add(RedoEdit{});
  ImGui::Separator();
  if (click_item(context, "menu.Edit/Duplicate", "Duplicate hold", "Ctrl+D", has_hold))
    context.intents.edit(DuplicateHold{context.ui.hold});
  if (click_item(context, "menu.Edit/Mirror", "Mirror hold", "M", has_hold))
    context.intents.edit(MirrorHold{context.ui.hold});
  if (click_item(context, "menu.Edit/Delete", "Delete hold", "Delete", has_hold))
    context.intents.edit(DeleteHold{context.ui.hold});
}

void draw_view_menu(const PanelContext& context) {
  const auto show = [&context](const char* name, const char* label, const char* keys, View view) {
    if (click_item(context, name, label, keys)) context.intents.add(ShowView{view});
  };
  show("menu.View/Opening", "Opening view", "Home", View::kOpen);
  show("menu.View/Front", "Front", "1", View::kFront);
  show("menu.View/Left", "From the left", "2", View::kLeft);
  show("menu.View/Right", "From the right", "3", View::kRight);
  show("menu.View/Climber", "Climber's eye", "4", View::kClimber);
  show("menu.View/Fit", "Fit the wall", "F", View::kFit);
  ImGui::Separator();
  Settings& settings = context.settings;
  tick_item(context, "menu.View/Grid", "Grid of 100 mm", "G", settings.has_grid);
  tick_item(context, "menu.View/Reach", "Reach of the moving limb", "R", settings.has_reach);
  tick_item(context, "menu.View/Side", "Side panels", "Tab", context.ui.has_side_panels);
  ImGui::Separator();
  tick_item(context, "menu.View/Light", "Light theme", nullptr, settings.is_light);
  tick_item(context, "menu.View/Shadows", "Shadows", nullptr, settings.has_shadows);
  tick_item(context, "menu.View/Smooth", "Smooth edges", nullptr, settings.has_smooth_edges);
  for (const auto& [label, scale] : {std::pair{"Small text", 0.85}, {"Usual text", 1.0}, {"Large text", 1.25}}) {
    if (click_item(context, fmt::format("menu.View/{}", label).c_str(), label, nullptr, true,
                   settings.text_scale == scale))
      settings.text_scale = scale;
  }
}

void draw_help_menu(const PanelContext& context) {
  if (click_item(context, "menu.Help/Keys", "Keys", "F1")) context.ui.dialog = Dialog::kShortcuts;
  if (click_item(context, "menu.Help/Cautions", "Cautions")) context.ui.dialog = Dialog::kCautions;
  if (click_item(context, "menu.Help/About", "About")) context.ui.dialog = Dialog::kAbout;
}

}  // namespace

float draw_menu_bar(const PanelContext& context) {
  if (!ImGui::BeginMainMenuBar()) return 0.0F;
  const auto draw = [&context](const char* label, void (*content)(const PanelContext&)) {
    if (!begin_menu(context, label)) return;
    content(context);
    ImGui::EndMenu();
  };
  draw("File", draw_file_menu);
  draw("Edit", draw_edit_menu);
  draw("View", draw_view_menu);
  draw("Help", draw_help_menu);
  std::string title = context.document.scene().name;
  if (!context.document.path().empty()) title += "  -  " + context.document.path().filename().string();
  if (context.document.is_modified()) title += "  (not saved)";
  const float width = ImGui::CalcTextSize(title.c_str()).x;
  const float left = ImGui::GetContentRegionMax().x - width - ImGui::GetStyle().ItemSpacing.x;
  if (left > ImGui::GetCursorPosX()) {
    ImGui::SameLine(left);
    ImGui::TextDisabled("%s", title.c_str());
  }
  const float height = ImGui::GetWindowSize().y;
  ImGui::EndMainMenuBar();
  return height;
}

}  // namespace steepwright::viewer
