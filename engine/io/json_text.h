#pragma once

/// JSON as our records are written: rounded numbers, and text that a person can read and whose diffs are short.

#include <nlohmann/json.hpp>

#include <optional>
#include <string>

namespace steepwright::io {

using Json = nlohmann::ordered_json;

/// Rounded to 1 / steps_per_unit, so that files are short and the same on every machine; null when not finite.
[[nodiscard]] Json to_json_number(double value, double steps_per_unit);

/// Indented, but with every list of numbers and every small object on one line; ends with a line break.
[[nodiscard]] std::string format_json(const Json& json);

/// On one line. Bytes of a name that are not UTF-8 are replaced, so that they do not stop it.
[[nodiscard]] std::string format_json_line(const Json& json);

/// A value of an object read from a file; nothing when it is missing or of another type.
[[nodiscard]] std::optional<double> read_number(const Json& json, const std::string& key);
[[nodiscard]] std::optional<std::string> read_text(const Json& json, const std::string& key);
[[nodiscard]] std::optional<bool> read_flag(const Json& json, const std::string& key);

}  // namespace steepwright::io
