#pragma once

/// A progress bar on stderr, shown only to a person and only when the work takes longer than a second.

#include <chrono>
#include <cstdint>
#include <string>

namespace steepwright::cli {

class ProgressBar {
 public:
  ProgressBar();
  ~ProgressBar();
  ProgressBar(const ProgressBar&) = delete;
  ProgressBar& operator=(const ProgressBar&) = delete;

  void show(int done, int total);
  /// Samples of a study that began with `first` of them done, with the time that is left at this pace.
  void show_samples(std::int64_t first, std::int64_t done, std::int64_t total, const std::string& noun);
  void clear();

 private:
  [[nodiscard]] bool is_due() const;
  void draw(std::int64_t done, std::int64_t total, const std::string& text);

  std::chrono::steady_clock::time_point start_;
  bool is_seen_ = false;  ///< stderr is a terminal
  bool is_shown_ = false;
};

}  // namespace steepwright::cli
