// The helper that the other tests of this folder stand on, and its own tests.

#include "tests/cli/process.h"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <poll.h>
#include <pty.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <chrono>
#include <csignal>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <thread>

namespace steepwright::tests {

namespace {

constexpr std::chrono::seconds kLongest(120);

// The command is built beside the tests: <build>/tests/cli_tests and <build>/engine/cli/steepwright.
std::string find_command() {
  const std::filesystem::path self = std::filesystem::read_symlink("/proc/self/exe");
  return (self.parent_path().parent_path() / "engine/cli/steepwright").string();
}

struct Pipes {
  std::array<int, 2> out{-1, -1}, err{-1, -1};
};

void set_environment(const std::vector<std::string>& changes) {
  for (const std::string& change : changes) {
    const std::size_t sign = change.find('=');
    if (sign == std::string::npos) {
      unsetenv(change.c_str());
    } else {
      setenv(change.substr(0, sign).c_str(), change.substr(sign + 1).c_str(), 1);
    }
  }
}

[[noreturn]] void become_command(const Launch& what, const Pipes& pipes) {
  signal(SIGPIPE, SIG_DFL);
  signal(SIGINT, SIG_DFL);
  set_environment(what.environment);
  if (!what.on_terminal) {
    const int out = what.out_file.empty() ? pipes.out[1] : open(what.out_file.c_str(), O_WRONLY | O_CLOEXEC);
    if (out < 0) _exit(126);
    dup2(out, STDOUT_FILENO);
    dup2(pipes.err[1], STDERR_FILENO);
  }
  const std::string command = find_command();
  std::vector<char*> arguments = {const_cast<char*>(command.c_str())};
  for (const std::string& argument : what.arguments) arguments.push_back(const_cast<char*>(argument.c_str()));
  arguments.push_back(nullptr);
  execv(command.c_str(), arguments.data());
  _exit(127);
}

// Reads until both ends are closed or time is up.
void drain(int out, int err, int pid, Outcome& outcome) {
  const auto deadline = std::chrono::steady_clock::now() + kLongest;
  std::array<pollfd, 2> waits = {{{out, POLLIN, 0}, {err, POLLIN, 0}}};
  while (waits[0].fd >= 0 || waits[1].fd >= 0) {
    if (std::chrono::steady_clock::now() > deadline) kill(pid, SIGKILL);
    if (poll(waits.data(), waits.size(), 200) <= 0) continue;
    for (std::size_t i = 0; i < waits.size(); ++i) {
      if (waits[i].fd < 0 || waits[i].revents == 0) continue;
      std::array<char, 4096> buffer{};
      const ssize_t count = read(waits[i].fd, buffer.data(), buffer.size());
      if (count > 0) {
        (i == 0 ? outcome.out : outcome.err).append(buffer.data(), static_cast<std::size_t>(count));
      } else if (count == 0 || errno != EINTR) {
        close(waits[i].fd);
        waits[i].fd = -1;
      }
    }
  }
}

int wait_for(int pid) {
  int state = 0;
  const auto deadline = std::chrono::steady_clock::now() + kLongest;
  while (waitpid(pid, &state, WNOHANG) == 0) {
    if (std::chrono::steady_clock::now() > deadline) kill(pid, SIGKILL);
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  }
  return WIFEXITED(state) ? WEXITSTATUS(state) : 128 + WTERMSIG(state);
}

}  // namespace

Outcome launch(const Launch& what) {
  Outcome outcome;
  Pipes pipes;
  int terminal = -1;
  int pid = -1;
  if (what.on_terminal) {
    winsize size{};
    size.ws_row = 25;
    size.ws_col = static_cast<unsigned short>(what.columns);
    pid = forkpty(&terminal, nullptr, nullptr, &size);
  } else {
    if (pipe2(pipes.out.data(), O_CLOEXEC) != 0 || pipe2(pipes.err.data(), O_CLOEXEC) != 0) return outcome;
    if (what.close_out) {
      close(pipes.out[0]);
      pipes.out[0] = -1;
    }
    pid = fork();
  }
  if (pid < 0) return outcome;
  if (pid == 0) become_command(what, pipes);
  if (!what.on_terminal) {
    close(pipes.out[1]);
    close(pipes.err[1]);
  }
  if (what.after_start) what.after_start(pid);
  drain(what.on_terminal ? terminal : pipes.out[0], pipes.err[0], pid, outcome);
  outcome.status = wait_for(pid);
  return outcome;
}

Outcome launch(std::vector<std::string> arguments) {
  Launch what;
  what.arguments = std::move(arguments);
  return launch(what);
}

std::string read_file(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

void write_file(const std::string& path, const std::string& text) { std::ofstream(path, std::ios::binary) << text; }

namespace {

TEST(Launch, FindsTheCommand) { EXPECT_TRUE(std::filesystem::exists(find_command())) << find_command(); }

TEST(Launch, TellsTheStreamsApart) {
  const Outcome outcome = launch({"no-such-command"});
  EXPECT_EQ(outcome.out, "");
  EXPECT_NE(outcome.err, "");
}

}  // namespace
}  // namespace steepwright::tests
