#include "engine/cli/progress.h"

#include "engine/cli/terminal.h"

#include <fmt/format.h>
#include <unistd.h>

#include <cstdio>
#include <string>

namespace steepwright::cli {

ProgressBar::ProgressBar() : start_(std::chrono::steady_clock::now()), is_seen_(isatty(STDERR_FILENO) != 0) {}

ProgressBar::~ProgressBar() { clear(); }

bool ProgressBar::is_due() const {
  return is_seen_ && std::chrono::steady_clock::now() - start_ >= std::chrono::seconds(1);
}

std::int64_t ProgressBar::find_left(double share) const {
  const std::chrono::duration<double> passed = std::chrono::steady_clock::now() - start_;
  return static_cast<std::int64_t>(passed.count() * (1.0 - share) / share);
}

void ProgressBar::draw(double share, const std::string& text) {
  constexpr int kWidth = 30;
  const auto filled = static_cast<std::size_t>(kWidth * share);
  fmt::print(stderr, "\r[{}{}] {}", std::string(filled, '#'), std::string(kWidth - filled, '.'), text);
  std::fflush(stderr);
  is_shown_ = true;
}

void ProgressBar::show(int done, int total) {
  if (total > 0 && is_due()) draw(static_cast<double>(done) / total, fmt::format("move {} of {}", done + 1, total));
}

void ProgressBar::show_samples(std::int64_t first, std::int64_t done, std::int64_t total, const std::string& noun) {
  if (total <= 0 || done <= first || !is_due()) return;
  const std::int64_t left_s = find_left(static_cast<double>(done - first) / static_cast<double>(total - first));
  draw(static_cast<double>(done) / static_cast<double>(total),
       fmt::format("{} of {} {}, {}:{:02} left  ", done, total, noun, left_s / 60, left_s % 60));
}

void ProgressBar::show_share(double share, const std::string& text) {
  if (share <= 0.0 || !is_due()) return;
  const std::int64_t left_s = find_left(share);
  draw(share, fmt::format("{}, about {}:{:02} left  ", text, left_s / 60, left_s % 60));
}

void ProgressBar::clear() {
  if (!is_shown_) return;
  fmt::print(stderr, "\r{}\r", std::string(79, ' '));
  std::fflush(stderr);
  is_shown_ = false;
}

}  // namespace steepwright::cli
