#include "engine/study/hand_out.h"

#include "engine/core/random.h"

#include <tbb/enumerable_thread_specific.h>
#include <tbb/parallel_pipeline.h>
#include <tbb/task_arena.h>

#include <algorithm>
#include <atomic>
#include <memory>

namespace steepwright::study {

namespace {

struct Chunk {
  std::int64_t first = 0, end = 0;
  std::vector<std::string> rows;
};
using ChunkPointer = std::shared_ptr<Chunk>;

}  // namespace

std::uint64_t find_sample_seed(std::uint64_t study_seed, std::int64_t index) {
  RandomStream stream(study_seed ^ (0xD1B54A32D192ED03ULL * (static_cast<std::uint64_t>(index) + 1)));
  return stream.next();
}

std::vector<std::string> work_on_chunk(const HandOut& hand_out, const SampleWorker& worker, std::int64_t first,
                                       std::int64_t end, const std::vector<std::string>& told) {
  std::vector<std::string> rows;
  for (std::int64_t index = first; index < end; ++index) {
    if (hand_out.is_cancelled && hand_out.is_cancelled()) break;
    const auto k = static_cast<std::size_t>(index - first);
    std::string row = worker(index, k < told.size() ? told[k] : std::string());
    // A worker that listens to the same wish has cut its sample short.
    if (hand_out.is_cancelled && hand_out.is_cancelled()) break;
    rows.push_back(std::move(row));
  }
  return rows;
}

HandOutEnd run_on_threads(const HandOut& hand_out) {
  tbb::task_arena arena(hand_out.n_threads > 0 ? hand_out.n_threads : tbb::task_arena::automatic);
  tbb::enumerable_thread_specific<SampleWorker> workers([&hand_out] { return hand_out.make_worker(); });
  std::int64_t next = hand_out.first;
  std::atomic<bool> is_stopped = false;
  HandOutEnd end = HandOutEnd::kDone;

  const auto hand = [&](tbb::flow_control& control) -> ChunkPointer {
    if (next >= hand_out.end || is_stopped) {
      control.stop();
      return nullptr;
    }
    auto chunk = std::make_shared<Chunk>();
    chunk->first = next;
    chunk->end = next = std::min(next + hand_out.chunk, hand_out.end);
    return chunk;
  };
  const auto work = [&](const ChunkPointer& chunk) {
    chunk->rows = work_on_chunk(hand_out, workers.local(), chunk->first, chunk->end);
    return chunk;
  };
  const auto take = [&](const ChunkPointer& chunk) {
    if (end != HandOutEnd::kDone) return;
    if (!chunk->rows.empty() && !hand_out.take(chunk->first, chunk->rows)) end = HandOutEnd::kRefused;
    // What comes after a chunk that was cut short would leave a gap.
    if (static_cast<std::int64_t>(chunk->rows.size()) < chunk->end - chunk->first) end = HandOutEnd::kCancelled;
    if (end != HandOutEnd::kDone) is_stopped = true;
  };
  arena.execute([&] {
    const auto in_flight = static_cast<std::size_t>(2 * arena.max_concurrency());
    tbb::parallel_pipeline(in_flight,
                           tbb::make_filter<void, ChunkPointer>(tbb::filter_mode::serial_in_order, hand) &
                               tbb::make_filter<ChunkPointer, ChunkPointer>(tbb::filter_mode::parallel, work) &
                               tbb::make_filter<ChunkPointer, void>(tbb::filter_mode::serial_in_order, take));
  });
  return end;
}

}  // namespace steepwright::study
