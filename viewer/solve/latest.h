#pragma once

/// A place for one job between two threads: a newer job takes the place of one that nobody has begun.

#include <condition_variable>
#include <mutex>
#include <optional>
#include <stop_token>
#include <utility>

namespace steepwright::viewer {

template <typename T>
class Latest {
 public:
  void put(T job) {
    {
      const std::lock_guard lock(mutex_);
      job_ = std::move(job);
    }
    has_job_.notify_one();
  }

  /// The same, but gives way to a job that waits.
  void put_if_free(T job) {
    {
      const std::lock_guard lock(mutex_);
      if (job_) return;
      job_ = std::move(job);
    }
    has_job_.notify_one();
  }

  /// Waits for a job; none when a stop is asked for.
  [[nodiscard]] std::optional<T> take(const std::stop_token& stop) {
    std::unique_lock lock(mutex_);
    has_job_.wait(lock, stop, [this] { return job_.has_value(); });
    if (stop.stop_requested()) return std::nullopt;
    return std::exchange(job_, std::nullopt);
  }

  /// A newer job is waiting.
  [[nodiscard]] bool is_waiting() const {
    const std::lock_guard lock(mutex_);
    return job_.has_value();
  }

 private:
  mutable std::mutex mutex_;
  std::condition_variable_any has_job_;
  std::optional<T> job_;
};

}  // namespace steepwright::viewer
