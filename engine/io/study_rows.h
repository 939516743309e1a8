#pragma once

/// Rows of studies: one JSON object a sample, read back by the same names; and as CSV.

#include "engine/io/json_text.h"
#include "engine/study/judge.h"
#include "engine/study/sweep.h"

#include <optional>
#include <string>
#include <vector>

namespace steepwright::io {

/// Columns of a judged move: verdict, effort, slip_margin_deg, cause, limb, short_mm, move, text.
[[nodiscard]] std::vector<std::string> judged_columns();

/// Adds them to a row.
void write_judged(const study::Judged& judged, Json& row);
/// Reads them back; nothing when they are not there.
[[nodiscard]] std::optional<study::Judged> read_judged(const Json& row);

[[nodiscard]] std::optional<move::Cause> cause_from_name(const std::string& name);

/// Name of a knob's column: "angle_deg", "depth_mm", "strength_factor".
[[nodiscard]] std::string column_of(const study::Knob& knob);
/// Columns of a sweep's axes; a second one of the same kind has "_2" added.
[[nodiscard]] std::vector<std::string> axis_columns(const study::SweepQuestion& question);

[[nodiscard]] std::string format_sweep_row(const study::SweepQuestion& question, std::int64_t sample,
                                           const study::SweepPoint& point);
[[nodiscard]] std::optional<study::SweepPoint> read_sweep_row(const study::SweepQuestion& question, const Json& row);

[[nodiscard]] std::string format_break_row(const study::SweepQuestion& question, const study::BreakPoint& point);
[[nodiscard]] std::optional<study::BreakPoint> read_break_row(const study::SweepQuestion& question, const Json& row);

/// One CSV line of a row: the columns' values, "" where the row has none.
[[nodiscard]] std::string format_csv_row(const std::vector<std::string>& columns, const Json& row);
/// In quotes; quotes within are doubled.
[[nodiscard]] std::string quote_csv(std::string_view text);
[[nodiscard]] std::string format_csv_header(const std::vector<std::string>& columns);

}  // namespace steepwright::io
