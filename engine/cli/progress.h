#pragma once

/// A progress bar on stderr, shown only to a person and only when the work takes longer than a second.

#include <chrono>

namespace steepwright::cli {

class ProgressBar {
 public:
  ProgressBar();
  ~ProgressBar();
  ProgressBar(const ProgressBar&) = delete;
  ProgressBar& operator=(const ProgressBar&) = delete;

  void show(int done, int total);
  void clear();

 private:
  std::chrono::steady_clock::time_point start_;
  bool is_seen_ = false;  ///< stderr is a terminal
  bool is_shown_ = false;
};

}  // namespace steepwright::cli
