#ifdef STEEPWRIGHT_HAS_MPI

#include "engine/study/dispatcher.h"
#include "engine/study/ranks.h"

#include <atomic>
#include <cstdlib>
#include <thread>

namespace steepwright::study {

namespace {

bool is_started_by_mpirun() {
  for (const char* name : {"OMPI_COMM_WORLD_SIZE", "PMI_SIZE", "PMIX_RANK"}) {
    if (std::getenv(name) != nullptr) return true;
  }
  return false;
}

/// A rank other than 0 computes what it is handed until there is no more, and answers meanwhile; the message when the
/// whole run is over.
std::optional<Message> serve(const HandOut& hand_out) {
  std::atomic<bool> is_over = false;
  HandOut served = hand_out;
  served.is_cancelled = [&] { return is_over || (hand_out.is_cancelled && hand_out.is_cancelled()); };
  OwnWorker own(served);
  send_first(kAsk, "");
  std::optional<Message> end;
  for (bool is_busy = false; !end || is_busy;) {
    if (const std::optional<std::string> rows = own.take_result()) {
      send_first(kRows, *rows);
      is_busy = false;
      continue;
    }
    std::optional<Message> message = poll(0);
    if (!message) {
      std::this_thread::sleep_for(kPause);
    } else if (message->tag == kFarewell) {
      send_first(kFarewell, "");
    } else if (message->tag == kTask) {
      own.start(read_task(message->text));
      is_busy = true;
    } else if (message->tag == kLeave) {
      is_over = true;  // and nobody is there to take rows
      return message;
    } else if (message->tag == kEndOfWork) {
      is_over = true;
      end = std::move(message);
    }
  }
  return std::nullopt;
}

}  // namespace

struct Ranks::Storage {
  int rank = 0, count = 1;
  bool has_left = false;  ///< rank 0 has said so
  /// Ranks that have died. Where there are some the run ends without MPI_Finalize, which would wait for them.
  std::set<int> dead;
  bool has_dead = false;
  Processes processes;
  Outbox outbox;

  void send_all(int tag, const std::string& text) {
    for (int to = 1; to < count; ++to) {
      if (!dead.contains(to)) outbox.post(to, tag, text);
    }
  }
  /// Who does not answer any more is dead: known before the others are told how to leave.
  void bid_farewell() {
    send_all(kFarewell, "");
    std::set<int> silent;
    for (int other = 1; other < count; ++other) {
      if (!dead.contains(other)) silent.insert(other);
    }
    const Clock::time_point start = Clock::now();
    while (!silent.empty() && !has_passed(kSilence_s, start)) {
      const std::optional<Message> message = poll(MPI_ANY_SOURCE);
      if (!message) {
        processes.bury_gone(silent, dead);
        std::this_thread::sleep_for(kPause);
      } else if (message->tag == kFarewell) {
        silent.erase(message->source);
      }
    }
    dead.insert(silent.begin(), silent.end());
  }
  void leave(const Message& message) {
    has_left = true;
    has_dead = has_dead || !message.text.empty();
  }
};

Ranks::Ranks() : storage_(std::make_unique<Storage>()) {
  if (!is_started_by_mpirun()) return;
  int provided = 0;
  MPI_Init_thread(nullptr, nullptr, MPI_THREAD_FUNNELED, &provided);
  MPI_Comm_set_errhandler(MPI_COMM_WORLD, MPI_ERRORS_RETURN);  // a dead rank is no reason to die
  MPI_Comm_rank(MPI_COMM_WORLD, &storage_->rank);
  MPI_Comm_size(MPI_COMM_WORLD, &storage_->count);
  storage_->processes.exchange(storage_->count);
}

Ranks::~Ranks() {
  if (!is_started_by_mpirun()) return;
  if (is_first()) {
    storage_->bid_farewell();
    storage_->has_dead = !storage_->dead.empty();
    // To those who were given up too: one of them may be waiting.
    for (int to = 1; to < count(); ++to) storage_->outbox.post(to, kLeave, storage_->has_dead ? "dead" : "");
    storage_->outbox.finish(storage_->dead);
  } else {
    while (!storage_->has_left) {
      const Message message = wait_for_first();
      if (message.tag == kLeave) storage_->leave(message);
    }
  }
  if (!storage_->has_dead) MPI_Finalize();
}

int Ranks::rank() const { return storage_->rank; }
int Ranks::count() const { return storage_->count; }

HandOutEnd Ranks::run(const HandOut& hand_out) {
  if (count() == 1) return run_on_threads(hand_out);
  if (!is_first()) {
    const std::optional<Message> leave = serve(hand_out);
    if (!leave) return HandOutEnd::kDone;
    storage_->leave(*leave);
    return HandOutEnd::kCancelled;
  }
  Dispatcher dispatcher(hand_out, count(), storage_->processes, storage_->outbox, storage_->dead);
  const HandOutEnd end = dispatcher.run();
  storage_->send_all(kEndOfWork, "");
  if (end == HandOutEnd::kDone) dispatcher.settle();
  return end;
}

std::optional<std::string> Ranks::share(const std::string& text) {
  if (is_first()) {
    storage_->send_all(kText, text);
    return text;
  }
  while (!storage_->has_left) {
    Message message = wait_for_first();
    if (message.tag == kText) return std::move(message.text);
    if (message.tag == kLeave) storage_->leave(message);
  }
  return std::nullopt;
}

}  // namespace steepwright::study

#endif
