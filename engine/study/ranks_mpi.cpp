#ifdef STEEPWRIGHT_HAS_MPI

#include "engine/study/ranks.h"

#include <mpi.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <cstdlib>
#include <deque>
#include <list>
#include <map>
#include <mutex>
#include <numeric>
#include <set>
#include <thread>
#include <utility>

namespace steepwright::study {

namespace {

using Clock = std::chrono::steady_clock;

enum Tag : int { kAsk = 1, kRows, kTask, kEndOfWork, kText, kFarewell, kLeave };

/// A chunk is handed to a second rank when its first one has not answered for so long: many times what others take.
constexpr double kPatience_chunks = 8.0;
constexpr double kLeastPatience_s = 2.0;
/// So long the ranks have to answer a farewell: who does not is dead.
constexpr double kFarewellPatience_s = 5.0;
/// Chunks between the oldest open one and the newest, a rank: what waits for its turn in memory.
constexpr int kWindow = 4;
constexpr auto kPause = std::chrono::microseconds(300);

bool is_started_by_mpirun() {
  for (const char* name : {"OMPI_COMM_WORLD_SIZE", "PMI_SIZE", "PMIX_RANK"}) {
    if (std::getenv(name) != nullptr) return true;
  }
  return false;
}

struct Message {
  int source = 0, tag = 0;
  std::string text;
};

/// Waits until the text is on its way; to rank 0, without which nothing goes on.
void send_first(int tag, const std::string& text) {
  MPI_Send(text.data(), static_cast<int>(text.size()), MPI_CHAR, 0, tag, MPI_COMM_WORLD);
}

bool has_passed(double seconds, Clock::time_point since) {
  return std::chrono::duration<double>(Clock::now() - since).count() > seconds;
}

/// What rank 0 sends: it waits for nobody, because a rank that has died takes no more messages.
class Outbox {
 public:
  void post(int to, int tag, std::string text) {
    sweep();
    Letter& letter = letters_.emplace_back();
    letter.to = to;
    letter.text = std::move(text);
    MPI_Isend(letter.text.data(), static_cast<int>(letter.text.size()), MPI_CHAR, to, tag, MPI_COMM_WORLD,
              &letter.request);
  }

  /// Forgets what has arrived.
  void sweep() {
    letters_.remove_if([](Letter& letter) {
      int is_sent = 0;
      MPI_Test(&letter.request, &is_sent, MPI_STATUS_IGNORE);
      return is_sent != 0;
    });
  }

  /// Waits a while for what is under way to ranks that are not among `dead`.
  void finish(const std::set<int>& dead) {
    const Clock::time_point start = Clock::now();
    const auto is_awaited = [&dead](const Letter& letter) { return !dead.contains(letter.to); };
    for (sweep(); std::any_of(letters_.begin(), letters_.end(), is_awaited) && !has_passed(kFarewellPatience_s, start);
         sweep()) {
      std::this_thread::sleep_for(kPause);
    }
  }

 private:
  struct Letter {
    int to = 0;
    std::string text;
    MPI_Request request = MPI_REQUEST_NULL;
  };
  std::list<Letter> letters_;
};

/// The next message, when one has arrived.
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

/// Rank 0's next message, waited for without holding a core, which another rank may need. Its farewell is answered.
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

std::string join(std::int64_t first, const std::vector<std::string>& rows) {
  return std::accumulate(rows.begin(), rows.end(), std::to_string(first),
                         [](std::string text, const std::string& row) { return std::move(text) + "\n" + row; });
}

std::vector<std::string> split(const std::string& text) {
  std::vector<std::string> lines;
  std::size_t start = 0;
  while (start <= text.size()) {
    const std::size_t end = std::min(text.find('\n', start), text.size());
    lines.push_back(text.substr(start, end - start));
    start = end + 1;
  }
  return lines;
}

/// Rank 0's own hands: one thread that computes a chunk at a time and speaks no MPI.
class OwnWorker {
 public:
  explicit OwnWorker(const HandOut& hand_out) : hand_out_(hand_out), thread_([this] { work(); }) {}
  ~OwnWorker() {
    {
      const std::lock_guard lock(mutex_);
      is_over_ = true;
    }
    wake_.notify_one();
    thread_.join();
  }
  OwnWorker(const OwnWorker&) = delete;
  OwnWorker& operator=(const OwnWorker&) = delete;

  void start(std::int64_t first, std::int64_t end) {
    const std::lock_guard lock(mutex_);
    task_ = {first, end};
    wake_.notify_one();
  }
  std::optional<std::string> take_result() {
    const std::lock_guard lock(mutex_);
    return std::exchange(result_, std::nullopt);
  }

 private:
  void work() {
    const SampleWorker worker = hand_out_.make_worker();
    std::unique_lock lock(mutex_);
    while (true) {
      wake_.wait(lock, [this] { return is_over_ || task_.has_value(); });
      if (is_over_) return;
      const auto [first, end] = *std::exchange(task_, std::nullopt);
      lock.unlock();
      std::string result = join(first, work_on_chunk(hand_out_, worker, first, end));
      lock.lock();
      result_ = std::move(result);
    }
  }

  const HandOut& hand_out_;
  std::mutex mutex_;
  std::condition_variable wake_;
  std::optional<std::pair<std::int64_t, std::int64_t>> task_;
  std::optional<std::string> result_;
  bool is_over_ = false;
  std::thread thread_;
};

/// Rank 0's books: which chunk is with whom, what has come back.
class Dispatcher {
 public:
  Dispatcher(const HandOut& hand_out, int n_ranks, Outbox& outbox, std::set<int>& dead)
      : hand_out_(hand_out),
        n_ranks_(n_ranks),
        outbox_(outbox),
        dead_(dead),
        next_(hand_out.first),
        due_(hand_out.first) {
    idle_.push_back(0);
  }

  HandOutEnd run() {
    OwnWorker own(hand_out_);
    while (due_ < hand_out_.end) {
      if (hand_out_.is_cancelled && hand_out_.is_cancelled()) return HandOutEnd::kCancelled;
      bool has_news = hand_out_idle(own);
      if (std::optional<std::string> result = own.take_result()) has_news = receive({0, kRows, *result}) || has_news;
      if (std::optional<Message> message = poll(MPI_ANY_SOURCE)) has_news = receive(*message) || has_news;
      if (is_refused_) return HandOutEnd::kRefused;
      if (is_cut_) return HandOutEnd::kCancelled;
      if (!has_news) std::this_thread::sleep_for(kPause);
    }
    bury_silent();
    return HandOutEnd::kDone;
  }

 private:
  /// All rows are there: who still owes some and does not answer is dead.
  void bury_silent() {
    const Clock::time_point start = Clock::now();
    while (!busy_.empty() && !has_passed(find_patience_s(), start)) {
      if (std::optional<Message> message = poll(MPI_ANY_SOURCE)) {
        receive(*message);
      } else {
        std::this_thread::sleep_for(kPause);
      }
    }
    dead_.insert(busy_.begin(), busy_.end());
  }

  struct Open {
    std::int64_t end = 0;
    Clock::time_point since;
    std::set<int> ranks;
  };

  bool hand_out_idle(OwnWorker& own) {
    bool has_handed = false;
    while (!idle_.empty()) {
      const std::optional<std::int64_t> chunk = choose(idle_.front());
      if (!chunk) break;
      const int rank = idle_.front();
      idle_.pop_front();
      Open& open = open_[*chunk];
      open.since = Clock::now();
      open.ranks.insert(rank);
      if (rank == 0) {
        own.start(*chunk, open.end);
      } else {
        outbox_.post(rank, kTask, describe(*chunk, open.end));
        busy_.insert(rank);
      }
      has_handed = true;
    }
    return has_handed;
  }

  /// First sample, end, and what is to be told of each, line by line.
  [[nodiscard]] std::string describe(std::int64_t first, std::int64_t end) const {
    std::string text = std::to_string(first) + "\n" + std::to_string(end);
    for (std::int64_t index = first; hand_out_.describe && index < end; ++index) {
      text += '\n';
      text += hand_out_.describe(index);
    }
    return text;
  }

  /// A new chunk while there is room in the window, else one that somebody has held for too long.
  std::optional<std::int64_t> choose(int rank) {
    const std::int64_t room = static_cast<std::int64_t>(kWindow) * n_ranks_ * hand_out_.chunk;
    if (next_ < hand_out_.end && next_ - due_ < room) {
      const std::int64_t first = next_;
      next_ = std::min(next_ + hand_out_.chunk, hand_out_.end);
      open_[first].end = next_;
      return first;
    }
    for (const auto& [first, open] : open_) {
      if (has_passed(find_patience_s(), open.since) && !open.ranks.contains(rank)) return first;
    }
    return std::nullopt;
  }

  [[nodiscard]] double find_patience_s() const {
    const double mean_s = n_closed_ > 0 ? closed_s_ / n_closed_ : kLeastPatience_s;
    return std::max(kLeastPatience_s, kPatience_chunks * mean_s);
  }

  bool receive(const Message& message) {
    // Who was given up, and was only slow, may have missed what all others know.
    if (dead_.contains(message.source)) return true;
    if (message.tag == kAsk) {
      // Once a hand-out; asked in those before, and not heard there, it is another time.
      const bool is_known =
          busy_.contains(message.source) || std::find(idle_.begin(), idle_.end(), message.source) != idle_.end();
      if (!is_known) idle_.push_back(message.source);
      return true;
    }
    if (message.tag != kRows) return true;
    busy_.erase(message.source);
    std::vector<std::string> rows = split(message.text);
    const std::int64_t first = std::stoll(rows.front());
    rows.erase(rows.begin());
    idle_.push_back(message.source);
    const auto open = open_.find(first);
    if (open == open_.end()) return true;  // somebody else was faster
    if (static_cast<std::int64_t>(rows.size()) < open->second.end - first) {
      is_cut_ = true;
      return true;
    }
    closed_s_ += std::chrono::duration<double>(Clock::now() - open->second.since).count();
    n_closed_ += 1.0;
    open_.erase(open);
    done_.emplace(first, std::move(rows));
    deliver();
    return true;
  }

  void deliver() {
    while (!done_.empty() && done_.begin()->first == due_ && !is_refused_) {
      const std::vector<std::string> rows = std::move(done_.begin()->second);
      done_.erase(done_.begin());
      is_refused_ = !hand_out_.take(due_, rows);
      due_ += static_cast<std::int64_t>(rows.size());
    }
  }

  const HandOut& hand_out_;
  int n_ranks_;
  Outbox& outbox_;
  std::set<int>& dead_;  ///< of all hand-outs
  std::set<int> busy_;   ///< ranks that owe rows
  std::int64_t next_;    ///< first sample that nobody has had
  std::int64_t due_;     ///< first sample that has not been taken
  std::deque<int> idle_;
  std::map<std::int64_t, Open> open_;
  std::map<std::int64_t, std::vector<std::string>> done_;
  double closed_s_ = 0.0, n_closed_ = 0.0;
  bool is_refused_ = false, is_cut_ = false;
};

/// A rank other than 0 computes what it is handed until there is no more; the message when the whole run is over.
std::optional<Message> serve(const HandOut& hand_out) {
  const SampleWorker worker = hand_out.make_worker();
  send_first(kAsk, "");
  while (true) {
    const Message message = wait_for_first();
    if (message.tag == kEndOfWork) return std::nullopt;
    if (message.tag == kLeave) return message;
    if (message.tag != kTask) continue;
    std::vector<std::string> task = split(message.text);
    const std::int64_t first = std::stoll(task[0]);
    const std::int64_t end = std::stoll(task[1]);
    task.erase(task.begin(), task.begin() + 2);
    send_first(kRows, join(first, work_on_chunk(hand_out, worker, first, end, task)));
  }
}

}  // namespace

struct Ranks::Storage {
  int rank = 0, count = 1;
  bool has_left = false;  ///< rank 0 has said so
  /// Ranks that have died. Where there are some the run ends without MPI_Finalize, which would wait for them.
  std::set<int> dead;
  bool has_dead = false;
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
    while (!silent.empty() && !has_passed(kFarewellPatience_s, start)) {
      const std::optional<Message> message = poll(MPI_ANY_SOURCE);
      if (!message) {
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
  const HandOutEnd end = Dispatcher(hand_out, count(), storage_->outbox, storage_->dead).run();
  storage_->send_all(kEndOfWork, "");
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
