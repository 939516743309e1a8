#pragma once

/// JSON as our records are written: rounded numbers, and text that a person can read and whose diffs are short.

#include <nlohmann/json.hpp>

#include <string>

namespace steepwright::io {

using Json = nlohmann::ordered_json;

/// Rounded to 1 / steps_per_unit, so that files are short and the same on every machine; null when not finite.
[[nodiscard]] Json to_json_number(double value, double steps_per_unit);

/// Indented, but with every list of numbers and every small object on one line; ends with a line break.
[[nodiscard]] std::string format_json(const Json& json);

}  // namespace steepwright::io
