#pragma once

/// A rank's own hands: a thread that computes a chunk at a time, while the rank itself answers the others. And chunks
/// as text, as the ranks send them.

#include "engine/study/hand_out.h"

#include <condition_variable>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

namespace steepwright::study {

[[nodiscard]] std::vector<std::string> split_lines(const std::string& text);

/// A chunk, and what is told of each of its samples.
struct Task {
  std::int64_t first = 0, end = 0;
  std::vector<std::string> told;
};

/// A task on lines: first sample, end, what is told of each sample.
[[nodiscard]] std::string write_task(const HandOut& hand_out, std::int64_t first, std::int64_t end);
[[nodiscard]] Task read_task(const std::string& text);

class OwnWorker {
 public:
  explicit OwnWorker(const HandOut& hand_out) : hand_out_(hand_out), thread_([this] { work(); }) {}
  ~OwnWorker();
  OwnWorker(const OwnWorker&) = delete;
  OwnWorker& operator=(const OwnWorker&) = delete;

  void start(Task task);
  /// Once its task is done: the first sample's number and the rows, line by line.
  [[nodiscard]] std::optional<std::string> take_result();

 private:
  void work();

  const HandOut& hand_out_;
  std::mutex mutex_;
  std::condition_variable wake_;
  std::optional<Task> task_;
  std::optional<std::string> result_;
  bool is_over_ = false;
  std::thread thread_;
};

}  // namespace steepwright::study
