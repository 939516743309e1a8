#pragma once

/// Work that is cut into numbered pieces which do not depend on each other.

#include <algorithm>
#include <atomic>
#include <thread>
#include <vector>

namespace steepwright::move {

/// Calls work(i, thread) for every i below n; which thread does which is left to chance, so answers must be stored by
/// i. The calling thread is thread 0; `threads` 0: as many as the machine has.
template <typename Work>
void run_parallel(int n, int threads, Work&& work) {
  const int wanted = threads > 0 ? threads : static_cast<int>(std::thread::hardware_concurrency());
  const int n_threads = std::clamp(wanted, 1, std::max(1, n));
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

}  // namespace steepwright::move
