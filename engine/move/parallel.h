#pragma once

/// Work that is cut into numbered pieces which do not depend on each other.

#include <algorithm>
#include <atomic>
#include <functional>
#include <memory>
#include <thread>
#include <utility>
#include <vector>

namespace steepwright::move {

/// How many threads run_parallel uses for n pieces; `wanted` 0: as many as the machine has.
inline int count_threads(int n, int wanted) {
  const int all = wanted > 0 ? wanted : static_cast<int>(std::thread::hardware_concurrency());
  return std::clamp(all, 1, std::max(1, n));
}

/// Calls work(i, thread) for every i below n; which thread does which is left to chance, so answers must be stored by
/// i. The calling thread is thread 0.
template <typename Work>
void run_parallel(int n, int wanted_threads, Work&& work) {
  const int n_threads = count_threads(n, wanted_threads);
  std::atomic<int> next = 0;
  const auto run = [&](int thread) {
    for (int i = next++; i < n; i = next++) work(i, thread);
  };
  std::vector<std::thread> others;
  others.reserve(static_cast<std::size_t>(n_threads - 1));
  for (int thread = 1; thread < n_threads; ++thread) others.emplace_back(run, thread);
  run(0);
  for (std::thread& other : others) other.join();
}

/// Storage of each thread of run_parallel, made when the thread first asks for it.
template <typename Storage>
class PerThread {
 public:
  using Make = std::function<std::unique_ptr<Storage>()>;
  PerThread(int n_threads, Make make) : make_(std::move(make)), storages_(static_cast<std::size_t>(n_threads)) {}

  Storage& at(int thread) {
    std::unique_ptr<Storage>& storage = storages_[static_cast<std::size_t>(thread)];
    if (!storage) storage = make_();
    return *storage;
  }
  /// One a thread, empty where it was never asked for; only when no thread runs.
  [[nodiscard]] const std::vector<std::unique_ptr<Storage>>& all() const { return storages_; }

 private:
  Make make_;
  std::vector<std::unique_ptr<Storage>> storages_;
};

}  // namespace steepwright::move
