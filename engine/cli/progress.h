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
  /// About a share of work whose amount shows only on the way, with about the time that is left.
  void show_share(double share, const std::string& text);
  void clear();

 private:
  [[nodiscard]] bool is_due() const;
  /// Seconds left when so much of the work took the time so far.
  [[nodiscard]] std::int64_t find_left(double share) const;
  void draw(double share, const std::string& text);

  std::chrono::steady_clock::time_point start_;
  bool is_seen_ = false;  ///< stderr is a terminal
  bool is_shown_ = false;
};

}  // namespace steepwright::cli
