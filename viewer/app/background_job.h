#pragma once

/// Work beside the thread that draws, whose result that thread takes up.

#include <algorithm>
#include <atomic>
#include <chrono>
#include <functional>
#include <future>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

namespace steepwright::viewer {

/// One job at a time. The end of all that was started is waited for when this goes.
template <typename T>
class BackgroundJob {
 public:
  /// `on_done` is called on the working thread, e.g. to wake the window.
  explicit BackgroundJob(std::function<void()> on_done) : on_done_(std::move(on_done)) {}

  [[nodiscard]] bool is_busy() const { return job_.has_value(); }
  /// What it was started with, "" when it is not busy.
  [[nodiscard]] const std::string& describe() const { return text_; }
  /// `text`: what it does. Precondition: not busy.
  void start(std::string text, std::function<T()> work) {
    sweep();
    text_ = std::move(text);
    auto is_done = std::make_shared<std::atomic<bool>>(false);
    job_ = Job{is_done, std::async(std::launch::async, [work = std::move(work), is_done, on_done = on_done_] {
                 T result = work();
                 *is_done = true;
                 if (on_done) on_done();
                 return result;
               })};
  }
  /// Waits for the result, no longer than `most`.
  void wait(std::chrono::milliseconds most) const {
    if (job_) job_->result.wait_for(most);
  }
  /// The result, once it is there.
  [[nodiscard]] std::optional<T> take() {
    if (!job_ || !*job_->is_done) return std::nullopt;
    Job done = std::move(*job_);
    job_.reset();
    text_.clear();
    return done.result.get();
  }
  /// Its result is not wanted any more; it goes on unseen.
  void drop() {
    if (job_) dropped_.push_back(std::move(*job_));
    job_.reset();
    text_.clear();
  }

 private:
  struct Job {
    std::shared_ptr<std::atomic<bool>> is_done;
    std::future<T> result;
  };
  void sweep() {
    std::erase_if(dropped_, [](const Job& job) { return job.is_done->load(); });
  }

  std::function<void()> on_done_;
  std::optional<Job> job_;
  std::string text_;
  std::vector<Job> dropped_;
};

}  // namespace steepwright::viewer
