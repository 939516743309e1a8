#include "engine/cli/columns.h"

#include <algorithm>

namespace steepwright::cli {

namespace {

constexpr int kIndent = 4;
constexpr int kNarrowest = 20;  ///< what is left for the text on a narrow terminal

std::string spaces_for(std::string_view text, int columns) {
  return std::string(static_cast<std::size_t>(std::max(0, columns - find_display_width(text))), ' ');
}

}  // namespace

std::string pad(std::string_view text, int columns) { return std::string(text) + spaces_for(text, columns); }
std::string pad_left(std::string_view text, int columns) { return spaces_for(text, columns) + std::string(text); }

std::string wrap_lines(std::string_view text, const Terminal& terminal) {
  std::string lines;
  for (const std::string& line : wrap(text, terminal.columns)) lines += line + "\n";
  return lines;
}

std::string list_below(std::string_view label, std::string_view text, const Terminal& terminal) {
  const int start = kIndent + find_display_width(label) + 1;
  std::string lines;
  for (const std::string& line : wrap(text, std::max(kNarrowest, terminal.columns - start))) {
    const bool is_first = lines.empty();
    lines += std::string(kIndent, ' ') + pad(is_first ? label : "", start - kIndent) + line + "\n";
  }
  return lines;
}

}  // namespace steepwright::cli
