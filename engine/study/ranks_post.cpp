#ifdef STEEPWRIGHT_HAS_MPI

#include "engine/study/ranks_post.h"

#include <signal.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <thread>

namespace steepwright::study {

namespace {

/// The machine, and its space of process numbers.
std::string find_space() {
  std::array<char, 128> machine{}, numbers{};
  ::gethostname(machine.data(), machine.size() - 1);
  if (::readlink("/proc/self/ns/pid", numbers.data(), numbers.size() - 1) < 0) numbers[0] = '\0';
  return std::string(machine.data()) + " " + numbers.data();
}

}  // namespace

bool has_passed(double seconds, Clock::time_point since) {
  return std::chrono::duration<double>(Clock::now() - since).count() > seconds;
}

void send_first(int tag, const std::string& text) {
  MPI_Send(text.data(), static_cast<int>(text.size()), MPI_CHAR, 0, tag, MPI_COMM_WORLD);
}

std::optional<Message> poll(int source) {
  int is_there = 0;
  MPI_Status status;
  MPI_Iprobe(source, MPI_ANY_TAG, MPI_COMM_WORLD, &is_there, &status);
  if (is_there == 0) return std::nullopt;
  int size = 0;
  MPI_Get_count(&status, MPI_CHAR, &size);
  Message message{status.MPI_SOURCE, status.MPI_TAG, std::string(static_cast<std::size_t>(size), '\0')};
  MPI_Recv(message.text.data(), size, MPI_CHAR, message.source, message.tag, MPI_COMM_WORLD, MPI_STATUS_IGNORE);
  return message;
}

Message wait_for_first() {
  while (true) {
    std::optional<Message> message = poll(0);
    if (!message) {
      std::this_thread::sleep_for(kPause);
    } else if (message->tag == kFarewell) {
      send_first(kFarewell, "");
    } else {
      return *message;
    }
  }
}

void Outbox::post(int to, int tag, std::string text) {
  sweep();
  Letter& letter = letters_.emplace_back();
  letter.to = to;
  letter.text = std::move(text);
  MPI_Isend(letter.text.data(), static_cast<int>(letter.text.size()), MPI_CHAR, to, tag, MPI_COMM_WORLD,
            &letter.request);
}

void Outbox::sweep() {
  letters_.remove_if([](Letter& letter) {
    int is_sent = 0;
    MPI_Test(&letter.request, &is_sent, MPI_STATUS_IGNORE);
    return is_sent != 0;
  });
}

void Outbox::finish(const std::set<int>& dead) {
  const Clock::time_point start = Clock::now();
  const auto is_awaited = [&dead](const Letter& letter) { return !dead.contains(letter.to); };
  for (sweep(); std::any_of(letters_.begin(), letters_.end(), is_awaited) && !has_passed(kSilence_s, start); sweep()) {
    std::this_thread::sleep_for(kPause);
  }
}

void Processes::exchange(int count) {
  Process own;
  const std::string space = find_space();
  std::copy_n(space.begin(), std::min(space.size(), own.space.size() - 1), own.space.begin());
  own.id = ::getpid();
  all_.resize(static_cast<std::size_t>(count));
  MPI_Allgather(&own, sizeof(Process), MPI_BYTE, all_.data(), sizeof(Process), MPI_BYTE, MPI_COMM_WORLD);
  for (Process& process : all_) {
    if (process.space != own.space) process.id = -1;
  }
}

bool Processes::is_gone(int rank) const {
  const pid_t id = all_[static_cast<std::size_t>(rank)].id;
  return id > 0 && ::kill(id, 0) != 0 && errno == ESRCH;
}

void Processes::bury_gone(std::set<int>& awaited, std::set<int>& dead) const {
  for (auto rank = awaited.begin(); rank != awaited.end();) {
    if (is_gone(*rank)) {
      dead.insert(*rank);
      rank = awaited.erase(rank);
    } else {
      ++rank;
    }
  }
}

}  // namespace steepwright::study

#endif
