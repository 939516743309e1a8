#pragma once

/// What the ranks of a study send each other. Rank 0 sends to all and waits for nobody; the others speak to rank 0
/// alone.

#include <mpi.h>
#include <sys/types.h>

#include <array>
#include <chrono>
#include <list>
#include <optional>
#include <set>
#include <string>
#include <vector>

namespace steepwright::study {

enum Tag : int { kAsk = 1, kRows, kTask, kEndOfWork, kText, kFarewell, kLeave };

/// Who has not answered for so long is dead: ranks answer while they compute, so that even a machine with far more work
/// than cores gives them a turn by then. Those whose process can be seen to be gone are not waited for.
inline constexpr double kSilence_s = 60.0;
inline constexpr auto kPause = std::chrono::microseconds(300);

using Clock = std::chrono::steady_clock;
[[nodiscard]] bool has_passed(double seconds, Clock::time_point since);

struct Message {
  int source = 0, tag = 0;
  std::string text;
};

/// To rank 0, without which nothing goes on: waits until the text is on its way.
void send_first(int tag, const std::string& text);
/// The next message, when one has arrived.
[[nodiscard]] std::optional<Message> poll(int source);
/// Rank 0's next message, waited for without holding a core, which another rank may need. Its farewell is answered.
[[nodiscard]] Message wait_for_first();

/// What rank 0 sends: it waits for nobody, because a rank that has died takes no more messages.
class Outbox {
 public:
  void post(int to, int tag, std::string text);
  /// Waits for what is under way to ranks that are not among `dead`.
  void finish(const std::set<int>& dead);

 private:
  struct Letter {
    int to = 0;
    std::string text;
    MPI_Request request = MPI_REQUEST_NULL;
  };
  void sweep();  ///< forgets what has arrived
  std::list<Letter> letters_;
};

/// The processes of the ranks, as far as this one can see them.
class Processes {
 public:
  /// All ranks call it.
  void exchange(int count);
  /// Moves those that are gone from `awaited` to `dead`.
  void bury_gone(std::set<int>& awaited, std::set<int>& dead) const;

 private:
  struct Process {
    std::array<char, 256> space{};  ///< where process numbers mean the same
    pid_t id = -1;
  };
  /// False where it cannot be seen.
  [[nodiscard]] bool is_gone(int rank) const;

  std::vector<Process> all_;
};

}  // namespace steepwright::study
