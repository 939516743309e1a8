#include "viewer/panels/marks.h"

#include <imgui/imgui.h>

namespace steepwright::viewer {

void Marks::note_last_item(std::string_view name) {
  if (!is_enabled_ || !ImGui::IsItemVisible()) return;
  const ImVec2 lower = ImGui::GetItemRectMin();
  const ImVec2 upper = ImGui::GetItemRectMax();
  note(name, {lower.x, lower.y, upper.x, upper.y});
}

void Marks::note(std::string_view name, const MarkRect& rect) {
  if (is_enabled_) rects_.insert_or_assign(std::string(name), rect);
}

std::optional<MarkRect> Marks::find(std::string_view name) const {
  const auto found = rects_.find(name);
  return found == rects_.end() ? std::nullopt : std::optional(found->second);
}

}  // namespace steepwright::viewer
