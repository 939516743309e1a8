#pragma once

/// What the command prints and how: exit statuses, colour only where a person looks at it, tables in columns, and
/// output that survives a closed pipe.

#include "engine/core/error.h"

#include <cstdio>
#include <string>
#include <string_view>
#include <vector>

namespace steepwright::cli {

enum class Exit : int {
  kAllHold = 0,
  kSomeDoNot = 1,
  kBadInput = 2,      ///< bad arguments or files, or a file that cannot be written
  kInterrupted = 130  ///< SIGINT, as shells expect it
};

/// What is known of the place that output goes to.
struct Terminal {
  bool has_colour = false;
  int columns = 100;
};

/// Colour: a terminal, TERM other than "dumb", and no NO_COLOR in the environment (no-color.org: set and not empty).
[[nodiscard]] Terminal find_terminal(std::FILE* stream);

/// Columns that a UTF-8 text takes: combining marks none, wide East Asian letters two.
[[nodiscard]] int find_display_width(std::string_view text);

/// Control characters replaced, so that a name from a file cannot steer the terminal.
[[nodiscard]] std::string make_printable(std::string_view text);

/// Breaks at spaces, words longer than a line also within; every line at most `columns` wide.
[[nodiscard]] std::vector<std::string> wrap(std::string_view text, int columns);

/// A text in bold, where there is colour.
[[nodiscard]] std::string bold(std::string_view text, const Terminal& terminal);

/// A text on the colour of a share of a limit (dark blue to yellow, as in pictures), where there is colour.
[[nodiscard]] std::string on_use_colour(std::string_view text, double use, const Terminal& terminal);

/// Writes to stdout and flushes. False when it could not be written, with a message on stderr; a closed pipe is the
/// reader's wish and no failure.
[[nodiscard]] bool print(std::string_view text);

/// Findings on stderr, one a line.
void print_findings(const Findings& findings);

/// "steepwright: message" on stderr.
void complain(std::string_view message);

}  // namespace steepwright::cli
