#pragma once

/// Rank 0's books of one hand-out: which chunk is with whom, what has come back.

#include "engine/study/own_worker.h"
#include "engine/study/ranks_post.h"

#include <deque>
#include <map>

namespace steepwright::study {

class Dispatcher {
 public:
  Dispatcher(const HandOut& hand_out, int n_ranks, const Processes& processes, Outbox& outbox, std::set<int>& dead);

  HandOutEnd run();
  /// All rows are there, and the others know: who still owes some sends what it has.
  void settle();

 private:
  struct Open {
    std::int64_t end = 0;
    Clock::time_point since;
    std::set<int> ranks;
  };

  bool hand_out_idle(OwnWorker& own);
  /// A new chunk while there is room in the window, else one that somebody has held for too long.
  std::optional<std::int64_t> choose(int rank);
  [[nodiscard]] double find_patience_s() const;
  bool receive(const Message& message);
  void deliver();

  const HandOut& hand_out_;
  int n_ranks_;
  const Processes& processes_;
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

}  // namespace steepwright::study
