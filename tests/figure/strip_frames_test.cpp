// Which frames a strip shows.

#include "engine/figure/strip_frames.h"

#include "tests/support/stick_scene.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <vector>

namespace steepwright::tests {
namespace {

using testing::Contains;
using testing::ElementsAre;

/// A move whose body stands still for most of its frames and moves in the last few.
struct LateMove {
  body::Body body = make_stick_body();
  move::MoveResult result;
  LateMove() {
    for (int i = 0; i < 20; ++i) {
      const double reach = i < 15 ? 0.0 : (i - 14) / 5.0;
      result.frames.push_back(make_stick_frame(body, move::Phase::kSettled, i / 19.0, reach));
    }
  }
};

std::vector<int> choose(const LateMove& late, int most, std::optional<int> wanted = std::nullopt) {
  return figure::choose_strip_frames(late.body, figure::make_skeleton(late.body), late.result, most, wanted);
}

TEST(StripFrames, AreEvenInChangeNotInTime) {
  const std::vector<int> chosen = choose(LateMove{}, 6);
  ASSERT_EQ(chosen.size(), 6U);
  EXPECT_EQ(std::count_if(chosen.begin(), chosen.end(), [](int frame) { return frame >= 15; }), 5);
}

TEST(StripFrames, HaveTheFirstAndTheLastInOrder) {
  for (const int most : {2, 3, 8}) {
    const std::vector<int> chosen = choose(LateMove{}, most);
    ASSERT_EQ(chosen.size(), static_cast<std::size_t>(most));
    EXPECT_EQ(chosen.front(), 0);
    EXPECT_EQ(chosen.back(), 19);
    EXPECT_TRUE(std::is_sorted(chosen.begin(), chosen.end()));
    EXPECT_EQ(std::adjacent_find(chosen.begin(), chosen.end()), chosen.end());
  }
}

TEST(StripFrames, HaveTheWantedOne) {
  EXPECT_THAT(choose(LateMove{}, 6, 9), Contains(9));
  EXPECT_EQ(choose(LateMove{}, 6, 9).size(), 6U);
  EXPECT_EQ(choose(LateMove{}, 6, -1).size(), 6U);
}

TEST(StripFrames, AreAllWhereThereAreFewAndNoneWithoutPostures) {
  LateMove late;
  late.result.frames.resize(3);
  EXPECT_THAT(choose(late, 8), ElementsAre(0, 1, 2));
  for (move::Frame& frame : late.result.frames) frame.posture.angles.resize(0);
  EXPECT_TRUE(choose(late, 8).empty());
}

}  // namespace
}  // namespace steepwright::tests
