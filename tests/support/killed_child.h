#pragma once

/// A child process that tells its parent one text, and then waits to be killed.

#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <csignal>
#include <functional>
#include <string>

namespace steepwright::tests {

class KilledChild {
 public:
  /// `work` runs in the child and ends in its argument, which does not return: what lives there stays alive.
  explicit KilledChild(const std::function<void(const std::function<void(const std::string&)>&)>& work) {
    std::array<int, 2> ends{};
    if (::pipe(ends.data()) != 0) return;
    pid_ = ::fork();
    if (pid_ == 0) {
      work([&](const std::string& text) {
        static_cast<void>(::write(ends[1], text.data(), text.size()));
        ::close(ends[1]);
        for (;;) ::pause();
      });
    }
    ::close(ends[1]);
    std::array<char, 4096> buffer{};
    for (ssize_t n = 0; (n = ::read(ends[0], buffer.data(), buffer.size())) > 0;)
      told_.append(buffer.data(), static_cast<std::size_t>(n));
    ::close(ends[0]);
  }
  KilledChild(const KilledChild&) = delete;
  KilledChild& operator=(const KilledChild&) = delete;
  ~KilledChild() { kill(); }

  [[nodiscard]] bool is_running() const { return pid_ > 0; }
  [[nodiscard]] const std::string& told() const { return told_; }
  void kill() {
    if (pid_ <= 0) return;
    ::kill(pid_, SIGKILL);
    ::waitpid(pid_, nullptr, 0);
    pid_ = -1;
  }

 private:
  pid_t pid_ = -1;
  std::string told_;
};

}  // namespace steepwright::tests
