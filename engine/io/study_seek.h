#pragma once

/// Rows of a goal seek: one a search.

#include "engine/io/json_text.h"
#include "engine/study/seek.h"

#include <optional>
#include <string>
#include <vector>

namespace steepwright::io {

[[nodiscard]] std::vector<std::string> seek_columns(const move::Scene& scene, const study::SeekQuestion& question);
[[nodiscard]] std::string format_seek_row(const move::Scene& scene, const study::SeekQuestion& question,
                                          std::int64_t sample, const study::SeekAnswer& answer);

/// A row read back: what is shown of it.
struct SeekRow {
  std::vector<double> values;
  bool is_on_tnut = false, is_held = false;
  double effort = 0.0, miss = 0.0;
  std::string binds;
};
[[nodiscard]] std::optional<SeekRow> read_seek_row(const move::Scene& scene, const study::SeekQuestion& question,
                                                   const Json& json);

}  // namespace steepwright::io
