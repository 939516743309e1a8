#include "engine/cli/progress.h"

#include "engine/cli/terminal.h"

#include <fmt/format.h>
#include <unistd.h>

#include <cstdio>
#include <string>

namespace steepwright::cli {

ProgressBar::ProgressBar() : start_(std::chrono::steady_clock::now()), is_seen_(isatty(STDERR_FILENO) != 0) {}

ProgressBar::~ProgressBar() { clear(); }

void ProgressBar::show(int done, int total) {
  if (!is_seen_ || total <= 0) return;
  if (std::chrono::steady_clock::now() - start_ < std::chrono::seconds(1)) return;
  constexpr int kWidth = 30;
  const auto filled = static_cast<std::size_t>(kWidth * done / total);
  fmt::print(stderr, "\r[{}{}] move {} of {}", std::string(filled, '#'), std::string(kWidth - filled, '.'), done + 1,
             total);
  std::fflush(stderr);
  is_shown_ = true;
}

void ProgressBar::clear() {
  if (!is_shown_) return;
  fmt::print(stderr, "\r{}\r", std::string(60, ' '));
  std::fflush(stderr);
  is_shown_ = false;
}

}  // namespace steepwright::cli
