#pragma once

/// Where every widget was drawn in the last frame, by name: tests find widgets by it, not by pixels.

#include <map>
#include <optional>
#include <string>
#include <string_view>

namespace steepwright::viewer {

/// On the screen, pixels from the upper left corner.
struct MarkRect {
  float left = 0.0F, top = 0.0F, right = 0.0F, bottom = 0.0F;

  [[nodiscard]] float middle_x() const { return 0.5F * (left + right); }
  [[nodiscard]] float middle_y() const { return 0.5F * (top + bottom); }
};

class Marks {
 public:
  /// Off at first: costs nothing then.
  void enable() { is_enabled_ = true; }
  void begin_frame() { rects_.clear(); }
  /// Notes the widget that was drawn last.
  void note_last_item(std::string_view name);
  void note(std::string_view name, const MarkRect& rect);

  [[nodiscard]] std::optional<MarkRect> find(std::string_view name) const;
  [[nodiscard]] const std::map<std::string, MarkRect, std::less<>>& all() const { return rects_; }

 private:
  bool is_enabled_ = false;
  std::map<std::string, MarkRect, std::less<>> rects_;
};

}  // namespace steepwright::viewer
