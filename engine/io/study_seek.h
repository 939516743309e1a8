#pragma once

/// Rows of a goal seek: one a search.

#include "engine/io/drawing.h"
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

/// What was wished for, and the best few places that were found.
struct SeekReport {
  const move::Scene* scene = nullptr;
  study::SeekQuestion question;
  std::vector<SeekRow> best;  ///< best first
};

/// "across 1200 mm, up 1850 mm"; the hold is named where several are sought.
[[nodiscard]] std::string describe_values(const SeekReport& report, const SeekRow& row);

/// "has an effort of 80 %", or what comes nearest to it: "comes nearest to an effort of 80 %: 86 %".
[[nodiscard]] std::string describe_reached(const SeekReport& report);

/// The wall face on with the places by number, where they were sought, and beside it effort and what binds. The report
/// outlives the drawing.
[[nodiscard]] Drawing make_seek_picture(const SeekReport& report);

}  // namespace steepwright::io
