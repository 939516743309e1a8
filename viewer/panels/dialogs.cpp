#include "viewer/panels/dialogs.h"

#include "engine/cli/version.h"
#include "engine/figure/cautions.h"
#include "viewer/panels/file_dialog.h"
#include "viewer/panels/shortcuts.h"
#include "viewer/panels/widgets.h"

#include <fmt/format.h>
#include <imgui/imgui.h>

#include <algorithm>

namespace steepwright::viewer {

namespace {

constexpr float kTextWidth = 34.0F;  // of font size

void draw_wrapped(std::string_view text) {
  ImGui::PushTextWrapPos(ImGui::GetCursorPosX() + kTextWidth * ImGui::GetFontSize());
  ImGui::TextUnformatted(text.data(), text.data() + text.size());
  ImGui::PopTextWrapPos();
}

void close(UiState& ui) { ui.dialog = Dialog::kNone; }

void draw_cautions(const PanelContext& context) {
  draw_wrapped("Before the first move");
  ImGui::Separator();
  for (const std::string_view caution : figure::kCautions) {
    ImGui::Spacing();
    draw_wrapped(caution);
  }
  ImGui::Spacing();
  if (click_button(context, "dialog.ok", "Understood")) {
    context.settings.has_seen_cautions = true;
    close(context.ui);
  }
}

void draw_shortcuts(const PanelContext& context) {
  // In a low window the list is moved, and the button stays.
  constexpr float kWidth = 39.0F;  // of font size
  const float font = ImGui::GetFontSize();
  const float needed =
      static_cast<float>(kShortcuts.size()) * (ImGui::GetTextLineHeight() + 2.0F * ImGui::GetStyle().CellPadding.y);
  const float room = ImGui::GetMainViewport()->Size.y - 2.2F * ImGui::GetFrameHeightWithSpacing() - 1.5F * font;
  ImGui::BeginChild("keys", {kWidth * font, std::min(needed, room)});
  if (ImGui::BeginTable("keys", 2, ImGuiTableFlags_SizingFixedFit)) {
    for (const Shortcut& shortcut : kShortcuts) {
      ImGui::TableNextRow();
      ImGui::TableNextColumn();
      ImGui::TextUnformatted(shortcut.keys);
      ImGui::TableNextColumn();
      ImGui::TextDisabled("%s", shortcut.does);
    }
    ImGui::EndTable();
  }
  ImGui::EndChild();
  if (click_button(context, "dialog.ok", "Close")) close(context.ui);
}

void draw_about(const PanelContext& context) {
  draw_wrapped(fmt::format("Steepwright {}", cli::kVersion));
  ImGui::Separator();
  draw_wrapped(
      "Reach, grip and load on a private overhanging climbing wall, before it is built. Every number comes from "
      "equilibrium, friction and strength of one body on this wall.");
  for (const std::string_view caution : figure::kCautions) {
    ImGui::Spacing();
    draw_wrapped(caution);
  }
  ImGui::Spacing();
  if (click_button(context, "dialog.ok", "Close")) close(context.ui);
}

void draw_guard(const PanelContext& context) {
  draw_wrapped(fmt::format("'{}' has changes that are not saved.", context.document.scene().name));
  draw_wrapped(context.ui.guard_question);
  ImGui::Spacing();
  const auto answer = [&context](GuardAnswer value) {
    close(context.ui);
    context.intents.add(AnswerGuard{value});
  };
  if (click_button(context, "dialog.ok", "Save")) answer(GuardAnswer::kSave);
  ImGui::SameLine();
  if (click_button(context, "dialog.discard", "Discard the changes")) answer(GuardAnswer::kDiscard);
  ImGui::SameLine();
  if (click_button(context, "dialog.cancel", "Cancel")) answer(GuardAnswer::kCancel);
}

void draw_recover(const PanelContext& context) {
  draw_wrapped(
      fmt::format("The window was not closed in order. Unsaved work on {} was kept.", context.ui.recovered_name));
  ImGui::Spacing();
  if (click_button(context, "dialog.ok", "Bring it back")) {
    close(context.ui);
    context.intents.add(AnswerRecovery{true});
  }
  ImGui::SameLine();
  if (click_button(context, "dialog.discard", "Throw it away")) {
    close(context.ui);
    context.intents.add(AnswerRecovery{false});
  }
}

void draw_unopened(const PanelContext& context) {
  constexpr std::size_t kMostShown = 6;
  const std::vector<std::string>& faults = context.ui.unopened_faults;
  draw_wrapped(fmt::format("{} cannot be opened:", context.ui.unopened_name));
  for (std::size_t i = 0; i < std::min(faults.size(), kMostShown); ++i) {
    ImGui::Spacing();
    draw_wrapped(faults[i]);
  }
  ImGui::Spacing();
  if (faults.size() > kMostShown) draw_wrapped(fmt::format("and {} more in the log", faults.size() - kMostShown));
  draw_wrapped("The example scene is open instead.");
  ImGui::Spacing();
  if (click_button(context, "dialog.ok", "Close")) close(context.ui);
}

const char* title_of(Dialog dialog) {
  switch (dialog) {
    case Dialog::kCautions:
      return "Cautions";
    case Dialog::kShortcuts:
      return "Keys";
    case Dialog::kAbout:
      return "About";
    case Dialog::kOpen:
      return "Open a scene";
    case Dialog::kSaveAs:
      return "Save the scene as";
    case Dialog::kPicture:
      return "Export a picture";
    case Dialog::kGuard:
      return "Unsaved changes";
    case Dialog::kRecover:
      return "Unsaved work";
    case Dialog::kUnopened:
      return "Not opened";
    case Dialog::kNone:
      break;
  }
  return "";
}

void draw_content(const PanelContext& context) {
  switch (context.ui.dialog) {
    case Dialog::kCautions:
      return draw_cautions(context);
    case Dialog::kShortcuts:
      return draw_shortcuts(context);
    case Dialog::kAbout:
      return draw_about(context);
    case Dialog::kOpen:
    case Dialog::kSaveAs:
    case Dialog::kPicture:
      return draw_file_dialog(context);
    case Dialog::kGuard:
      return draw_guard(context);
    case Dialog::kRecover:
      return draw_recover(context);
    case Dialog::kUnopened:
      return draw_unopened(context);
    case Dialog::kNone:
      return;
  }
}

constexpr ImGuiWindowFlags kNotice = ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove |
                                     ImGuiWindowFlags_NoSavedSettings | ImGuiWindowFlags_AlwaysAutoResize;

}  // namespace

void draw_awaited_scene(const PanelContext& context) {
  const ImGuiViewport& window = *ImGui::GetMainViewport();
  ImGui::GetBackgroundDrawList()->AddRectFilled({0.0F, 0.0F}, window.Size, to_u32(context.palette.panel));
  ImGui::SetNextWindowPos(window.GetCenter(), ImGuiCond_Always, {0.5F, 0.5F});
  ImGui::Begin("awaited", nullptr, kNotice);
  draw_wrapped(context.ui.busy);
  ImGui::Spacing();
  if (click_button(context, "awaited.stop", "Stop", "Leaves it, and opens the example scene."))
    context.intents.add(StopOpening{});
  ImGui::End();
}

void draw_dialog(const PanelContext& context) {
  if (context.ui.dialog == Dialog::kNone) return;
  const char* title = title_of(context.ui.dialog);
  if (!ImGui::IsPopupOpen(title)) ImGui::OpenPopup(title);
  const ImVec2 middle = ImGui::GetMainViewport()->GetCenter();
  ImGui::SetNextWindowPos(middle, ImGuiCond_Always, {0.5F, 0.5F});
  if (!ImGui::BeginPopupModal(title, nullptr, ImGuiWindowFlags_AlwaysAutoResize | ImGuiWindowFlags_NoMove)) return;
  const Dialog drawn = context.ui.dialog;
  draw_content(context);
  if (context.ui.dialog != drawn) ImGui::CloseCurrentPopup();
  ImGui::EndPopup();
}

}  // namespace steepwright::viewer
