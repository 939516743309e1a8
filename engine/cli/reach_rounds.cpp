#include "engine/cli/reach_rounds.h"

namespace steepwright::cli {

bool ReachRounds::take(const io::Json& row) {
  std::optional<io::ReachRow> read = io::read_reach_row(row, n_hinges_);
  if (read) waiting_.push_back(std::move(*read));
  return read.has_value();
}

std::vector<study::ReachOutcome> ReachRounds::solve(const std::vector<study::ReachTask>& tasks,
                                                    study::ReachCrew& crew) {
  const std::int64_t first = n_used_;
  const std::int64_t end = first + static_cast<std::int64_t>(tasks.size());
  const auto find_task = [&tasks, first](std::int64_t index) -> const study::ReachTask& {
    return tasks[static_cast<std::size_t>(index - first)];
  };
  const auto make_worker = [&] {
    return [&](std::int64_t index, const std::string& /*told*/) {
      return io::format_reach_row(find_task(index), crew.solve(find_task(index)));
    };
  };
  const auto describe = [&](std::int64_t index) { return io::format_reach_task(find_task(index)); };
  std::vector<study::ReachOutcome> outcomes;
  if (run_.count() < end && !run_.run_round(end, make_worker, describe)) return outcomes;
  for (const study::ReachTask& task : tasks) {
    has_strange_rows_ = has_strange_rows_ || !waiting_.front().is_of(task);
    if (has_strange_rows_) return {};
    outcomes.push_back(std::move(waiting_.front().outcome));
    waiting_.pop_front();
  }
  n_used_ = end;
  return outcomes;
}

void ReachRounds::serve(study::ReachCrew& crew) {
  run_.serve([&] {
    return [&](std::int64_t /*index*/, const std::string& told) {
      const std::optional<io::ReachTaskText> read = io::read_reach_task(told, n_hinges_);
      return read ? io::format_reach_row(read->task, crew.solve(read->task)) : std::string();
    };
  });
}

}  // namespace steepwright::cli
