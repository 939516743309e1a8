#pragma once

/// Reading text out of bytes without copies, and words that the mesh readers' errors share.

#include "engine/hold/mesh_source.h"

#include <algorithm>
#include <charconv>
#include <optional>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>

namespace steepwright::hold {

inline constexpr const char* kExportAnew = "export the mesh anew";
inline constexpr const char* kCutShort = "the file was cut short or is damaged; get it anew";
inline constexpr const char* kReduce = "reduce the mesh: 100000 triangles show all that a finger feels";

/// The next line, taken off `rest`.
[[nodiscard]] inline std::string_view take_line(std::string_view& rest) {
  const std::size_t end = std::min(rest.find('\n'), rest.size());
  std::string_view line = rest.substr(0, end);
  rest.remove_prefix(std::min(end + 1, rest.size()));
  if (line.ends_with('\r')) line.remove_suffix(1);
  return line;
}

/// The next word of a line, taken off it; "" at its end.
[[nodiscard]] inline std::string_view take_word(std::string_view& line) {
  const std::size_t start = std::min(line.find_first_not_of(" \t"), line.size());
  const std::size_t end = std::min(line.find_first_of(" \t", start), line.size());
  const std::string_view word = line.substr(start, end - start);
  line.remove_prefix(end);
  return word;
}

template <typename Number>
[[nodiscard]] std::optional<Number> to_number(std::string_view word) {
  Number value = 0;
  if (word.starts_with('+')) word.remove_prefix(1);
  const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), value);
  if (error != std::errc() || end != word.data() + word.size()) return std::nullopt;
  return value;
}

/// A failure at a line of a text.
[[nodiscard]] inline tl::unexpected<Findings> line_failure(const std::string& name, int line, std::string message) {
  Finding finding;
  finding.place = {name, line, 0};
  finding.message = std::move(message);
  finding.remedy = kExportAnew;
  return tl::unexpected<Findings>({std::move(finding)});
}

}  // namespace steepwright::hold
