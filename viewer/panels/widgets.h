#pragma once

/// Widgets that all panels share: values with unit and explanation, sliders that tell drags from single edits.

#include "engine/io/keys.h"
#include "viewer/panels/panel_context.h"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace steepwright::viewer {

/// A text beside the pointer.
void show_tip(std::string_view text);
/// A sentence that shows when the pointer rests on the last item.
void explain(const char* sentence);

/// "label   value", the value at the right edge of the column; the sentence explains it.
void show_value(const PanelContext& context, const char* label, const std::string& value, const char* sentence);

/// A slider in the unit of its label. Returns the new value while it is changed; edits of one drag share
/// context.ui.open_gesture. Ctrl+click types a number. `name` marks it.
struct SliderRange {
  double lower = 0.0, upper = 1.0;
  double steps_per_unit = 1.0;  ///< 10: values end in tenths, as a file would state them
  const char* format = "%.0f";
};
/// As wide as the file's key allows.
[[nodiscard]] SliderRange find_key_range(io::FileKind kind, std::string_view path, double steps_per_unit = 1.0,
                                         const char* format = "%.0f");
[[nodiscard]] std::optional<double> edit_number(const PanelContext& context, const char* name, const char* label,
                                                double value, const SliderRange& range, const char* sentence);

/// A list to choose from; the index chosen, when another one was.
[[nodiscard]] std::optional<int> edit_choice(const PanelContext& context, const char* name, const char* label,
                                             const std::vector<std::string>& choices, int present,
                                             const char* sentence);

/// A text that is taken over with Enter or when the field is left.
[[nodiscard]] std::optional<std::string> edit_text(const PanelContext& context, const char* name, const char* label,
                                                   const std::string& present, const char* sentence);

[[nodiscard]] bool click_button(const PanelContext& context, const char* name, const char* label,
                                const char* sentence = nullptr, bool is_enabled = true);

/// A heading over a group.
void show_heading(const PanelContext& context, const char* text);

/// A small bar of the share of a limit that is used, in the colour of the scale.
void show_use_bar(const PanelContext& context, double use, float width, float height);

/// Text over as many lines as it needs, to the right edge of the column; no line ends within a number or between it and
/// its unit.
void show_wrapped(std::string_view text);
/// The same, for what is missing or beside the point.
void show_faint(const PanelContext& context, std::string_view text);

}  // namespace steepwright::viewer
