// Handing out samples: order, seeds, stopping.

#include "engine/study/hand_out.h"

#include <gtest/gtest.h>

#include <atomic>
#include <chrono>
#include <set>
#include <thread>

namespace steepwright::study {
namespace {

struct Taken {
  std::vector<std::string> rows;
  HandOutEnd end = HandOutEnd::kDone;
};

HandOut make_hand_out(std::int64_t first, std::int64_t end, int n_threads, Taken& taken) {
  HandOut hand_out;
  hand_out.first = first;
  hand_out.end = end;
  hand_out.chunk = 3;
  hand_out.n_threads = n_threads;
  hand_out.make_worker = [] {
    return [](std::int64_t sample, const std::string& /*told*/) { return std::to_string(find_sample_seed(7, sample)); };
  };
  hand_out.take = [&taken](std::int64_t at, const std::vector<std::string>& rows) {
    EXPECT_EQ(at % 3, 0);
    taken.rows.insert(taken.rows.end(), rows.begin(), rows.end());
    return true;
  };
  return hand_out;
}

TEST(HandOut, GivesTheSameRowsInOrderOnAnyNumberOfThreads) {
  std::vector<std::string> expected;
  for (std::int64_t sample = 0; sample < 100; ++sample) expected.push_back(std::to_string(find_sample_seed(7, sample)));
  for (const int threads : {1, 2, 5}) {
    Taken taken;
    HandOut hand_out = make_hand_out(0, 100, threads, taken);
    hand_out.make_worker = [] {
      return [](std::int64_t sample, const std::string& /*told*/) {
        // Every other chunk is overtaken by those behind it.
        if (sample % 6 == 0) std::this_thread::sleep_for(std::chrono::milliseconds(3));
        return std::to_string(find_sample_seed(7, sample));
      };
    };
    EXPECT_EQ(run_on_threads(hand_out), HandOutEnd::kDone);
    EXPECT_EQ(taken.rows, expected) << threads;
  }
}

TEST(HandOut, GoesOnWhereItStopped) {
  Taken whole, head, tail;
  static_cast<void>(run_on_threads(make_hand_out(0, 60, 2, whole)));
  static_cast<void>(run_on_threads(make_hand_out(0, 27, 2, head)));
  static_cast<void>(run_on_threads(make_hand_out(27, 60, 2, tail)));
  head.rows.insert(head.rows.end(), tail.rows.begin(), tail.rows.end());
  EXPECT_EQ(head.rows, whole.rows);
}

TEST(HandOut, LeavesNoGapWhenCancelled) {
  Taken taken;
  HandOut hand_out = make_hand_out(0, 10'000, 2, taken);
  std::atomic<int> asked = 0;
  hand_out.is_cancelled = [&asked] { return ++asked > 200; };
  EXPECT_EQ(run_on_threads(hand_out), HandOutEnd::kCancelled);
  EXPECT_LT(taken.rows.size(), 200U);
  for (std::size_t k = 0; k < taken.rows.size(); ++k)
    EXPECT_EQ(taken.rows[k], std::to_string(find_sample_seed(7, static_cast<std::int64_t>(k))));
}

TEST(HandOut, StopsWhenRowsAreNotTaken) {
  Taken taken;
  HandOut hand_out = make_hand_out(0, 1000, 2, taken);
  int n_taken = 0;
  hand_out.take = [&n_taken](std::int64_t, const std::vector<std::string>&) { return ++n_taken < 4; };
  EXPECT_EQ(run_on_threads(hand_out), HandOutEnd::kRefused);
  EXPECT_EQ(n_taken, 4);
}

TEST(SampleSeeds, DifferFromSampleToSampleAndFromStudyToStudy) {
  std::set<std::uint64_t> seeds;
  for (std::uint64_t study = 0; study < 50; ++study) {
    for (std::int64_t sample = 0; sample < 200; ++sample) seeds.insert(find_sample_seed(study, sample));
  }
  EXPECT_EQ(seeds.size(), 50U * 200U);
}

}  // namespace
}  // namespace steepwright::study
