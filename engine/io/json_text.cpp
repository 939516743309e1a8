#include "engine/io/json_text.h"

#include <cmath>

namespace steepwright::io {

namespace {

bool is_flat(const Json& json) {
  for (const Json& item : json) {
    if (item.is_structured()) return false;
  }
  return true;
}

// Indented, but with every list of numbers and every small object on one line: a person can read it and a diff is
// short.
void print(const Json& json, int depth, std::string& text) {
  if (!json.is_structured() || json.empty()) {
    text += format_json_line(json);
    return;
  }
  const bool is_object = json.is_object();
  const bool inline_all = is_flat(json) && json.size() <= 4;
  const auto break_line = [&text, inline_all](int indent) {
    if (inline_all) return;
    text += '\n';
    text.append(static_cast<std::size_t>(indent), ' ');
  };
  text += is_object ? '{' : '[';
  bool is_first = true;
  for (const auto& [key, value] : json.items()) {
    if (!is_first) text += inline_all ? ", " : ",";
    is_first = false;
    break_line(depth + 1);
    if (is_object) text += format_json_line(key).append(": ");
    print(value, depth + 1, text);
  }
  break_line(depth);
  text += is_object ? '}' : ']';
}

}  // namespace

Json to_json_number(double value, double steps_per_unit) {
  if (!std::isfinite(value)) return nullptr;
  const double rounded = std::round(value * steps_per_unit) / steps_per_unit;
  return rounded == 0.0 ? 0.0 : rounded;  // no "-0.0"
}

std::string format_json(const Json& json) {
  std::string text;
  print(json, 0, text);
  return text + "\n";
}

std::string format_json_line(const Json& json) { return json.dump(-1, ' ', false, Json::error_handler_t::replace); }

std::optional<double> read_number(const Json& json, const std::string& key) {
  const auto found = json.find(key);
  if (found == json.end() || !found->is_number()) return std::nullopt;
  return found->get<double>();
}

std::optional<std::string> read_text(const Json& json, const std::string& key) {
  const auto found = json.find(key);
  if (found == json.end() || !found->is_string()) return std::nullopt;
  return found->get<std::string>();
}

std::optional<bool> read_flag(const Json& json, const std::string& key) {
  const auto found = json.find(key);
  if (found == json.end() || !found->is_boolean()) return std::nullopt;
  return found->get<bool>();
}

}  // namespace steepwright::io
