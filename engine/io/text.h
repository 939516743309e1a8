#pragma once

/// Small text tools of the file readers and writers: quoting what a user wrote, the nearest known name, numbers that
/// survive a round trip, and a scan for what the TOML parser must not be given.

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace steepwright::io {

/// The text in single quotes as it may be shown on a terminal: control characters escaped, long text shortened.
[[nodiscard]] std::string in_quotes(std::string_view text);

/// "'a', 'b' and 'c'"; at most `limit` names, then "and 12 more".
[[nodiscard]] std::string list_of(const std::vector<std::string>& names, std::size_t limit = 12);

/// Insertions, deletions, replacements and swaps of neighbours that turn a into b (restricted Damerau-Levenshtein).
[[nodiscard]] int find_edit_distance(std::string_view a, std::string_view b);

/// The known name that `name` was probably meant to be: the same but for its unit (`angle`, `width_cm`), or few edits
/// away. Nothing when none is near.
[[nodiscard]] std::optional<std::string> find_nearest_name(std::string_view name,
                                                           const std::vector<std::string>& known);

/// Shortest decimal text that reads back as the same double.
[[nodiscard]] std::string to_decimal(double value);

/// Shortest decimal text near `rough` whose value `is_exact`; that of `rough` itself when there is none.
[[nodiscard]] std::string to_decimal_where(double rough, const std::function<bool(double)>& is_exact);

/// The text as a TOML basic string, quotes included.
[[nodiscard]] std::string to_toml_string(std::string_view text);

/// What a scan of TOML text found before parsing it.
struct TextScan {
  bool has_comments = false;
  /// First thing that must not reach the parser ("" when there is none), and where it is.
  std::string fault;
  int line = 0;
  int column = 0;
};

/// Looks for text that is not UTF-8, zero bytes, and tables or arrays nested deeper than any of our files needs (a
/// dotted key of a million parts would exhaust the stack of any recursive reader).
[[nodiscard]] TextScan scan_text(std::string_view text);

}  // namespace steepwright::io
