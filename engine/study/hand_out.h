#pragma once

/// Handing out the samples of a study: each is known by its index alone, is computed anywhere, and its row of text
/// arrives in the order of the indices, so that a study's file is the same on any number of threads and can go on where
/// it stopped.

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

namespace steepwright::study {

/// Seed of one sample: depends on nothing but the study's seed and the index.
[[nodiscard]] std::uint64_t find_sample_seed(std::uint64_t study_seed, std::int64_t index);

/// Computes the row of a sample. Each thread has one of its own. `told`: what HandOut::describe says of the sample, on
/// a rank that was handed it by another one; else "".
using SampleWorker = std::function<std::string(std::int64_t index, const std::string& told)>;

struct HandOut {
  std::int64_t first = 0, end = 0;  ///< samples [first, end)
  int chunk = 8;                    ///< samples handed out together
  int n_threads = 0;                ///< 0: one a core
  std::function<SampleWorker()> make_worker;
  /// On one line what other ranks cannot know of a sample from its index; nothing: they know all.
  std::function<std::string(std::int64_t)> describe;
  /// Takes rows in order, a chunk at a time; false stops the study.
  std::function<bool(std::int64_t first, const std::vector<std::string>& rows)> take;
  /// Asked between samples; true stops the study after the chunks that are done.
  std::function<bool()> is_cancelled;
};

enum class HandOutEnd { kDone, kCancelled, kRefused };

/// On the threads of this process. Only as many chunks as there are threads (and a few) are in memory.
[[nodiscard]] HandOutEnd run_on_threads(const HandOut& hand_out);

/// The rows of one chunk; stops early, with fewer rows, when cancelled. `told`: one a sample, or none.
[[nodiscard]] std::vector<std::string> work_on_chunk(const HandOut& hand_out, const SampleWorker& worker,
                                                     std::int64_t first, std::int64_t end,
                                                     const std::vector<std::string>& told = {});

}  // namespace steepwright::study
