#include "viewer/panels/ui_state.h"

#include <utility>

namespace steepwright::viewer {

void tell(std::string text, bool is_error, UiState& ui) {
  ui.status = text;
  ui.is_status_error = is_error;
  ui.status_left_s = kStatusTime_s;
  // A drag that is refused again and again is one line.
  if (!ui.log.empty() && ui.log.back().text == text) return;
  ui.log.push_back({is_error, std::move(text)});
  if (ui.log.size() > kMostLogLines) ui.log.erase(ui.log.begin());
}

}  // namespace steepwright::viewer
