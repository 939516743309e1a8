#include "viewer/panels/file_dialog.h"

#include "viewer/panels/widgets.h"

#include <fmt/format.h>
#include <imgui/imgui.h>
#include <imgui/imgui_stdlib.h>

#include <algorithm>
#include <string>
#include <vector>

namespace steepwright::viewer {

namespace {

namespace fs = std::filesystem;

constexpr float kListWidth = 36.0F;  // of font size
constexpr float kListHeight = 18.0F;
constexpr std::size_t kMostEntries = 2000;

std::vector<FolderEntry> list_folder(const fs::path& folder, const std::string& ending) {
  std::vector<FolderEntry> entries;
  std::error_code error;
  for (auto it = fs::directory_iterator(folder, fs::directory_options::skip_permission_denied, error);
       !error && it != fs::directory_iterator() && entries.size() < kMostEntries; it.increment(error)) {
    const std::string name = it->path().filename().string();
    std::error_code ignored;
    const bool is_folder = it->is_directory(ignored);
    if (name.empty() || name.front() == '.' || (!is_folder && it->path().extension() != ending)) continue;
    entries.push_back({name, is_folder});
  }
  std::sort(entries.begin(), entries.end(), [](const FolderEntry& a, const FolderEntry& b) {
    return a.is_folder != b.is_folder ? a.is_folder : a.name < b.name;
  });
  return entries;
}

void draw_list(const PanelContext& context, const std::string& ending, bool& is_chosen) {
  FileDialog& file = context.ui.file;
  ImGui::TextDisabled("%s", file.folder.string().c_str());
  const float font = ImGui::GetFontSize();
  ImGui::BeginChild("entries", {kListWidth * font, kListHeight * font}, true);
  if (file.folder.has_parent_path() && file.folder != file.folder.root_path()) {
    if (ImGui::Selectable("..  (folder above)", false, ImGuiSelectableFlags_DontClosePopups))
      file.folder = file.folder.parent_path();
    context.marks.note_last_item("dialog.entry/..");
  }
  if (file.listed_folder != file.folder) {
    file.entries = list_folder(file.folder, ending);
    file.listed_folder = file.folder;
  }
  for (const FolderEntry& entry : file.entries) {
    const std::string label = entry.is_folder ? entry.name + "/" : entry.name;
    const bool is_clicked =
        ImGui::Selectable(label.c_str(), !entry.is_folder && entry.name == file.name,
                          ImGuiSelectableFlags_DontClosePopups | ImGuiSelectableFlags_AllowDoubleClick);
    context.marks.note_last_item("dialog.entry/" + entry.name);
    if (!is_clicked) continue;
    if (entry.is_folder) {
      file.folder /= entry.name;
    } else {
      file.name = entry.name;
      is_chosen = ImGui::IsMouseDoubleClicked(ImGuiMouseButton_Left);
    }
  }
  ImGui::EndChild();
}

void draw_size(const PanelContext& context) {
  FileDialog& file = context.ui.file;
  ImGui::SetNextItemWidth(12.0F * ImGui::GetFontSize());
  int size[2] = {file.width_px, file.height_px};
  if (ImGui::InputInt2("width and height, pixels", size)) {
    file.width_px = std::clamp(size[0], 16, 8192);
    file.height_px = std::clamp(size[1], 16, 8192);
  }
  context.marks.note_last_item("dialog.size");
}

}  // namespace

void draw_file_dialog(const PanelContext& context) {
  UiState& ui = context.ui;
  const Dialog kind = ui.dialog;
  const std::string ending = kind == Dialog::kPicture ? ".png" : ".toml";
  bool is_chosen = false;
  draw_list(context, ending, is_chosen);
  ImGui::SetNextItemWidth(kListWidth * ImGui::GetFontSize());
  is_chosen = ImGui::InputText("##name", &ui.file.name, ImGuiInputTextFlags_EnterReturnsTrue) || is_chosen;
  context.marks.note_last_item("dialog.name");
  if (kind == Dialog::kPicture) draw_size(context);
  fs::path path = ui.file.folder / ui.file.name;
  if (kind != Dialog::kOpen && !ui.file.name.empty() && path.extension() != ending) path += ending;
  std::error_code error;
  const bool is_there = fs::exists(path, error);
  const bool is_usable = !ui.file.name.empty() && (kind != Dialog::kOpen || is_there);
  const char* verb = kind == Dialog::kOpen ? "Open" : is_there && !ui.file.name.empty() ? "Replace" : "Save";
  is_chosen = click_button(context, "dialog.ok", verb, nullptr, is_usable) || (is_chosen && is_usable);
  ImGui::SameLine();
  if (click_button(context, "dialog.cancel", "Cancel")) {
    ui.dialog = Dialog::kNone;
    return;
  }
  if (!is_chosen) return;
  ui.dialog = Dialog::kNone;
  if (kind == Dialog::kOpen) {
    context.intents.add(OpenScene{path});
  } else if (kind == Dialog::kSaveAs) {
    context.intents.add(SaveSceneAs{path});
  } else {
    context.intents.add(ExportPicture{path, ui.file.width_px, ui.file.height_px});
  }
}

}  // namespace steepwright::viewer
