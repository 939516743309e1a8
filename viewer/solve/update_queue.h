#pragma once

/// Answers on their way from the threads that solve to the one that draws.

#include "viewer/solve/results.h"

#include <chrono>
#include <condition_variable>
#include <functional>
#include <mutex>
#include <utility>
#include <vector>

namespace steepwright::viewer {

class UpdateQueue {
 public:
  /// `on_update` is called on the publishing thread after each answer, e.g. to wake the window.
  explicit UpdateQueue(std::function<void()> on_update) : on_update_(std::move(on_update)) {}

  void publish(SolveUpdate update) {
    {
      const std::lock_guard lock(mutex_);
      updates_.push_back(std::move(update));
    }
    has_update_.notify_one();
    if (on_update_) on_update_();
  }

  /// The answers since the last call, oldest first.
  [[nodiscard]] std::vector<SolveUpdate> take() {
    const std::lock_guard lock(mutex_);
    return std::exchange(updates_, {});
  }

  /// Waits for an answer that is not taken yet, no longer than `most`.
  void wait(std::chrono::milliseconds most) {
    std::unique_lock lock(mutex_);
    has_update_.wait_for(lock, most, [this] { return !updates_.empty(); });
  }

 private:
  std::function<void()> on_update_;
  std::mutex mutex_;
  std::condition_variable has_update_;
  std::vector<SolveUpdate> updates_;
};

}  // namespace steepwright::viewer
