#ifdef STEEPWRIGHT_HAS_MPI

#include "engine/study/dispatcher.h"

#include <algorithm>
#include <thread>

namespace steepwright::study {

namespace {

/// A chunk is handed to a second rank when its first one has not answered for so long: many times what others take.
constexpr double kPatience_chunks = 8.0;
constexpr double kLeastPatience_s = 2.0;
/// Chunks between the oldest open one and the newest, a rank: what waits for its turn in memory.
constexpr int kWindow = 4;
}  // namespace

Dispatcher::Dispatcher(const HandOut& hand_out, int n_ranks, const Processes& processes, Outbox& outbox,
                       std::set<int>& dead)
    : hand_out_(hand_out),
      n_ranks_(n_ranks),
      processes_(processes),
      outbox_(outbox),
      dead_(dead),
      next_(hand_out.first),
      due_(hand_out.first) {
  idle_.push_back(0);
}

HandOutEnd Dispatcher::run() {
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
  return HandOutEnd::kDone;
}

void Dispatcher::settle() {
  const Clock::time_point start = Clock::now();
  while (!busy_.empty() && !has_passed(kSilence_s, start)) {
    if (std::optional<Message> message = poll(MPI_ANY_SOURCE)) {
      receive(*message);
    } else {
      processes_.bury_gone(busy_, dead_);
      std::this_thread::sleep_for(kPause);
    }
  }
  dead_.insert(busy_.begin(), busy_.end());
}

bool Dispatcher::hand_out_idle(OwnWorker& own) {
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
      own.start({*chunk, open.end, {}});
    } else {
      outbox_.post(rank, kTask, write_task(hand_out_, *chunk, open.end));
      busy_.insert(rank);
    }
    has_handed = true;
  }
  return has_handed;
}

std::optional<std::int64_t> Dispatcher::choose(int rank) {
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

double Dispatcher::find_patience_s() const {
  const double mean_s = n_closed_ > 0 ? closed_s_ / n_closed_ : kLeastPatience_s;
  return std::max(kLeastPatience_s, kPatience_chunks * mean_s);
}

bool Dispatcher::receive(const Message& message) {
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
  std::vector<std::string> rows = split_lines(message.text);
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

void Dispatcher::deliver() {
  while (!done_.empty() && done_.begin()->first == due_ && !is_refused_) {
    const std::vector<std::string> rows = std::move(done_.begin()->second);
    done_.erase(done_.begin());
    is_refused_ = !hand_out_.take(due_, rows);
    due_ += static_cast<std::int64_t>(rows.size());
  }
}

}  // namespace steepwright::study

#endif
