#include "engine/io/study_rows.h"

#include "engine/core/units.h"

#include <fmt/format.h>

#include <cmath>
#include <limits>

namespace steepwright::io {

namespace {

constexpr double kPerShare = 1e6;
constexpr double kPerDegree = 1e4;
constexpr double kPerMillimetre = 1e3;
constexpr double kPerUnit = 1e6;  ///< of a knob

}  // namespace

std::optional<move::Cause> cause_from_name(const std::string& name) {
  for (int c = 0; c <= static_cast<int>(move::Cause::kStrength); ++c) {
    if (move::name_of(static_cast<move::Cause>(c)) == name) return static_cast<move::Cause>(c);
  }
  return std::nullopt;
}

std::vector<std::string> judged_columns() {
  return {"verdict", "effort", "slip_margin_deg", "cause", "limb", "short_mm", "move", "text"};
}

void write_judged(const study::Judged& judged, Json& row) {
  row["verdict"] = move::name_of(judged.is_held ? move::Verdict::kStatic : move::Verdict::kNotStatic);
  row["effort"] = to_json_number(judged.effort, kPerShare);
  if (judged.slip_margin) row["slip_margin_deg"] = to_json_number(deg_from_rad(*judged.slip_margin), kPerDegree);
  row["cause"] = move::name_of(judged.cause);
  if (judged.limb) row["limb"] = short_name(*judged.limb);
  if (judged.short_m) row["short_mm"] = to_json_number(mm_from_m(*judged.short_m), kPerMillimetre);
  row["move"] = judged.move;
  row["text"] = judged.text;
}

std::optional<study::Judged> read_judged(const Json& row) {
  const std::optional<std::string> verdict = read_text(row, "verdict");
  if (!verdict || !row.contains("effort")) return std::nullopt;
  study::Judged judged;
  judged.is_held = *verdict == move::name_of(move::Verdict::kStatic);
  judged.effort = read_number(row, "effort").value_or(std::numeric_limits<double>::infinity());
  if (const auto margin_deg = read_number(row, "slip_margin_deg")) judged.slip_margin = rad_from_deg(*margin_deg);
  judged.cause = cause_from_name(read_text(row, "cause").value_or("")).value_or(move::Cause::kNone);
  judged.limb = limb_from_short_name(read_text(row, "limb").value_or(""));
  if (const auto short_mm = read_number(row, "short_mm")) judged.short_m = m_from_mm(*short_mm);
  judged.move = read_text(row, "move").value_or("");
  judged.text = read_text(row, "text").value_or("");
  return judged;
}

std::string column_of(const study::Knob& knob) {
  return fmt::format("{}_{}", study::name_of(knob.kind), study::unit_of(knob.kind));
}

std::vector<std::string> axis_columns(const study::SweepQuestion& question) {
  std::vector<std::string> columns;
  for (const study::SweepAxis& axis : question.axes) {
    std::string name = column_of(axis.knob);
    if (!columns.empty() && columns.front() == name) name += "_2";
    columns.push_back(std::move(name));
  }
  return columns;
}

std::string format_sweep_row(const study::SweepQuestion& question, std::int64_t sample,
                             const study::SweepPoint& point) {
  Json row = {{"sample", sample}};
  const std::vector<std::string> columns = axis_columns(question);
  for (std::size_t a = 0; a < columns.size(); ++a) row[columns[a]] = to_json_number(point.values[a], kPerUnit);
  if (point.fault.empty()) {
    write_judged(point.judged, row);
  } else {
    row["verdict"] = "cannot be built";
    row["effort"] = nullptr;
    row["text"] = point.fault;
  }
  return format_json_line(row);
}

std::optional<study::SweepPoint> read_sweep_row(const study::SweepQuestion& question, const Json& row) {
  study::SweepPoint point;
  for (const std::string& column : axis_columns(question)) {
    const std::optional<double> value = read_number(row, column);
    if (!value) return std::nullopt;
    point.values.push_back(*value);
  }
  const std::optional<study::Judged> judged = read_judged(row);
  if (!judged) return std::nullopt;
  point.judged = *judged;
  if (read_text(row, "verdict").value_or("") == "cannot be built") point.fault = judged->text;
  return point;
}

std::string format_break_row(const study::SweepQuestion& question, const study::BreakPoint& point) {
  Json row = {{"break", true}};
  const std::vector<std::string> columns = axis_columns(question);
  const auto axis = static_cast<std::size_t>(point.axis);
  row["along"] = columns[axis];
  row[columns[axis]] = to_json_number(point.value(), kPerUnit);
  if (columns.size() > 1) row[columns[1 - axis]] = to_json_number(point.other, kPerUnit);
  row["held_at"] = to_json_number(point.held_value, kPerUnit);
  row["lost_at"] = to_json_number(point.lost_value, kPerUnit);
  write_judged(point.lost, row);
  if (!point.fault.empty()) row["text"] = point.fault;
  return format_json_line(row);
}

std::optional<study::BreakPoint> read_break_row(const study::SweepQuestion& question, const Json& row) {
  const std::optional<study::Judged> lost = read_judged(row);
  const std::optional<double> held_at = read_number(row, "held_at");
  const std::optional<double> lost_at = read_number(row, "lost_at");
  if (!lost || !held_at || !lost_at) return std::nullopt;
  study::BreakPoint point;
  const std::vector<std::string> columns = axis_columns(question);
  if (columns.size() > 1) {
    point.axis = read_text(row, "along").value_or("") == columns[1] ? 1 : 0;
    point.other = read_number(row, columns[static_cast<std::size_t>(1 - point.axis)]).value_or(0.0);
  }
  point.held_value = *held_at;
  point.lost_value = *lost_at;
  point.lost = *lost;
  return point;
}

std::string quote_csv(std::string_view text) {
  std::string quoted = "\"";
  for (const char letter : text) quoted += letter == '"' ? std::string("\"\"") : std::string(1, letter);
  return quoted + "\"";
}

std::string format_csv_header(const std::vector<std::string>& columns) {
  std::string text;
  for (const std::string& column : columns) text += (text.empty() ? "" : ",") + column;
  return text + "\n";
}

std::string format_csv_row(const std::vector<std::string>& columns, const Json& row) {
  std::string text;
  for (std::size_t c = 0; c < columns.size(); ++c) {
    if (c > 0) text += ',';
    const auto found = row.find(columns[c]);
    if (found == row.end() || found->is_null()) continue;
    if (!found->is_string()) {
      text += format_json_line(*found);
      continue;
    }
    text += quote_csv(found->get<std::string>());
  }
  return text + "\n";
}

}  // namespace steepwright::io
