#include "engine/study/own_worker.h"

#include <algorithm>
#include <numeric>
#include <utility>

namespace steepwright::study {

namespace {

std::string join(std::int64_t first, const std::vector<std::string>& rows) {
  return std::accumulate(rows.begin(), rows.end(), std::to_string(first),
                         [](std::string text, const std::string& row) { return std::move(text) + "\n" + row; });
}

}  // namespace

std::vector<std::string> split_lines(const std::string& text) {
  std::vector<std::string> lines;
  std::size_t start = 0;
  while (start <= text.size()) {
    const std::size_t end = std::min(text.find('\n', start), text.size());
    lines.push_back(text.substr(start, end - start));
    start = end + 1;
  }
  return lines;
}

std::string write_task(const HandOut& hand_out, std::int64_t first, std::int64_t end) {
  std::string text = std::to_string(first) + "\n" + std::to_string(end);
  for (std::int64_t index = first; hand_out.describe && index < end; ++index) {
    text += '\n';
    text += hand_out.describe(index);
  }
  return text;
}

Task read_task(const std::string& text) {
  Task task;
  task.told = split_lines(text);
  task.first = std::stoll(task.told[0]);
  task.end = std::stoll(task.told[1]);
  task.told.erase(task.told.begin(), task.told.begin() + 2);
  return task;
}

OwnWorker::~OwnWorker() {
  {
    const std::lock_guard lock(mutex_);
    is_over_ = true;
  }
  wake_.notify_one();
  thread_.join();
}

void OwnWorker::start(Task task) {
  const std::lock_guard lock(mutex_);
  task_ = std::move(task);
  wake_.notify_one();
}

std::optional<std::string> OwnWorker::take_result() {
  const std::lock_guard lock(mutex_);
  return std::exchange(result_, std::nullopt);
}

void OwnWorker::work() {
  const SampleWorker worker = hand_out_.make_worker();
  std::unique_lock lock(mutex_);
  while (true) {
    wake_.wait(lock, [this] { return is_over_ || task_.has_value(); });
    if (is_over_) return;
    const Task task = *std::exchange(task_, std::nullopt);
    lock.unlock();
    std::string result = join(task.first, work_on_chunk(hand_out_, worker, task.first, task.end, task.told));
    lock.lock();
    result_ = std::move(result);
  }
}

}  // namespace steepwright::study
