#pragma once

/// Rows of a reach map: one a stance solved, exact to the last bit, so that a map goes on from them as if it had never
/// stopped. And the tasks that ranks are handed.

#include "engine/io/json_text.h"
#include "engine/study/reach_solver.h"

#include <deque>
#include <optional>
#include <string>
#include <vector>

namespace steepwright::io {

[[nodiscard]] std::vector<std::string> reach_row_columns();

[[nodiscard]] std::string format_reach_row(const study::ReachTask& task, const study::ReachOutcome& outcome);

/// A row read back.
struct ReachRow {
  int strip = 0, i = 0, j = 0;  ///< of its task
  study::ReachOutcome outcome;
  [[nodiscard]] bool is_of(const study::ReachTask& task) const {
    return strip == task.strip && i == task.i && j == task.j;
  }
};
[[nodiscard]] std::optional<ReachRow> read_reach_row(const Json& row, int n_hinges);

/// A task on one line, and read back: what its sources point to comes along.
[[nodiscard]] std::string format_reach_task(const study::ReachTask& task);
struct ReachTaskText {
  study::ReachTask task;
  std::deque<study::ReachAnswer> answers;
};
[[nodiscard]] std::optional<ReachTaskText> read_reach_task(const std::string& text, int n_hinges);

}  // namespace steepwright::io
