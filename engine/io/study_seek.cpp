#include "engine/io/study_seek.h"

#include "engine/io/quantities.h"
#include "engine/io/study_rows.h"

#include <fmt/format.h>

#include <cmath>
#include <limits>

namespace steepwright::io {

namespace {

constexpr double kPerUnit = 1e4;
constexpr double kPerShare = 1e6;

/// "up_mm of 'upper bar'": several holds may be sought at once.
std::string column_of_axis(const move::Scene& scene, const study::SeekAxis& axis) {
  const std::string column = column_of(axis.knob);
  return axis.knob.is_of_hold()
             ? fmt::format("{} of '{}'", column, scene.holds[static_cast<std::size_t>(axis.knob.index)].name)
             : column;
}

}  // namespace

std::vector<std::string> seek_columns(const move::Scene& scene, const study::SeekQuestion& question) {
  std::vector<std::string> columns = {"sample"};
  for (const study::SeekAxis& axis : question.axes) columns.push_back(column_of_axis(scene, axis));
  columns.insert(columns.end(), {"on_tnut", "held", "effort", "miss", "judged", "binds"});
  return columns;
}

std::string format_seek_row(const move::Scene& scene, const study::SeekQuestion& question, std::int64_t sample,
                            const study::SeekAnswer& answer) {
  Json row = {{"sample", sample}};
  for (std::size_t k = 0; k < question.axes.size(); ++k)
    row[column_of_axis(scene, question.axes[k])] = to_json_number(answer.values[k], kPerUnit);
  row["on_tnut"] = answer.is_on_tnut;
  row["held"] = answer.is_held();
  row["effort"] = to_json_number(answer.judged.effort, kPerShare);
  row["miss"] = to_json_number(answer.miss, kPerShare);
  row["judged"] = answer.n_judged;
  row["binds"] = study::describe_binding(scene, question, answer);
  Json also = Json::array();
  for (const study::Judged& other : answer.also) also.push_back(to_json_number(other.effort, kPerShare));
  if (!also.empty()) row["also_effort"] = std::move(also);
  return format_json_line(row);
}

std::optional<SeekRow> read_seek_row(const move::Scene& scene, const study::SeekQuestion& question, const Json& json) {
  SeekRow row;
  for (const study::SeekAxis& axis : question.axes) {
    const std::optional<double> value = read_number(json, column_of_axis(scene, axis));
    if (!value) return std::nullopt;
    row.values.push_back(*value);
  }
  const std::optional<bool> is_held = read_flag(json, "held");
  if (!is_held || !json.contains("miss")) return std::nullopt;
  constexpr double kNone = std::numeric_limits<double>::infinity();
  row.is_on_tnut = read_flag(json, "on_tnut").value_or(false);
  row.is_held = *is_held;
  row.effort = read_number(json, "effort").value_or(kNone);
  row.miss = read_number(json, "miss").value_or(kNone);
  row.binds = read_text(json, "binds").value_or("");
  return row;
}

std::string describe_reached(const SeekReport& report) {
  const std::string wished = show_percent(report.question.effort);
  if (report.best.empty() || !std::isfinite(report.best.front().effort))
    return fmt::format("was to have an effort of {}: no place was found", wished);
  const SeekRow& best = report.best.front();
  const std::string reached = show_percent(best.effort);
  if (best.is_held && reached == wished) return "has an effort of " + wished;
  const char* unless_held = report.question.also.empty() ? ", which does not hold" : ", which not everybody holds";
  return fmt::format("comes nearest to an effort of {}: {}{}", wished, reached, best.is_held ? "" : unless_held);
}

}  // namespace steepwright::io
