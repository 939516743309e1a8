#pragma once

/// Texts in columns, by the width that they take on a screen.

#include "engine/cli/terminal.h"

#include <string>
#include <string_view>

namespace steepwright::cli {

/// Filled up with spaces at the right, or at the left; longer texts stay as they are.
[[nodiscard]] std::string pad(std::string_view text, int columns);
[[nodiscard]] std::string pad_left(std::string_view text, int columns);

/// A text in as many lines as it takes, each ended.
[[nodiscard]] std::string wrap_lines(std::string_view text, const Terminal& terminal);

/// Indented lines below a row: a text after a label, wrapped.
[[nodiscard]] std::string list_below(std::string_view label, std::string_view text, const Terminal& terminal);

}  // namespace steepwright::cli
