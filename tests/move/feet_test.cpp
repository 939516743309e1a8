#include "engine/move/feet.h"

#include "tests/move/traced_scenes.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace steepwright::move {
namespace {

/// The reach scene on 25 degrees with a good foothold for each foot; the move as given has the feet on poor ones.
Scene make_foot_scene() {
  Scene scene = tests::make_reach_scene(25.0);
  Scene more = tests::make_panel_scene(25.0, {{"left rail", 1.00, 1.75},
                                              {"right rail", 1.45, 1.80},
                                              {"left block", 0.95, 0.55, true},
                                              {"right block", 1.40, 0.50, true},
                                              {"high rail", 1.05, 2.15},
                                              {"far block", 2.20, 0.30, true}});
  more.moves = scene.moves;
  more.moves[0].before.limbs[2].reset();
  more.moves[0].before.limbs[3] = tests::on_hold(3);
  return more;
}

FootOptions make_options(int n_threads) {
  FootOptions options;
  options.wanted = 4;
  options.traced = 4;
  options.n_threads = n_threads;
  return options;
}

TEST(Feet, BestPlacementHoldsWithNoMoreEffortThanTheOneGiven) {
  const Scene scene = make_foot_scene();
  const body::Body body = body::make_body(scene.climber.measures);
  const MoveResult given = tests::trace(scene).result;
  const std::vector<FootChoice> choices = find_feet(scene, body, scene.moves[0], make_options(2));
  ASSERT_FALSE(choices.empty());
  EXPECT_EQ(choices[0].result.verdict, Verdict::kStatic);
  EXPECT_LE(choices[0].result.effort_peak, given.effort_peak);
  for (std::size_t i = 1; i < choices.size(); ++i) {
    EXPECT_TRUE(choices[i].result.verdict != Verdict::kStatic ||
                choices[i].result.effort_peak >= choices[i - 1].result.effort_peak);
    EXPECT_THAT(choices[i].places, testing::AllOf(testing::HasSubstr("left foot "), testing::HasSubstr("right foot ")));
  }
  EXPECT_THAT(choices[0].reason, testing::HasSubstr("of the weight there"));
}

TEST(Feet, AnswerDoesNotDependOnTheNumberOfThreads) {
  const Scene scene = make_foot_scene();
  const body::Body body = body::make_body(scene.climber.measures);
  const auto one = find_feet(scene, body, scene.moves[0], make_options(1));
  const auto three = find_feet(scene, body, scene.moves[0], make_options(3));
  ASSERT_EQ(one.size(), three.size());
  for (std::size_t i = 0; i < one.size(); ++i) {
    EXPECT_EQ(one[i].places, three[i].places);
    EXPECT_EQ(one[i].result.effort_peak, three[i].result.effort_peak);
  }
}

TEST(Feet, StopWhenTheCallerAsks) {
  const Scene scene = make_foot_scene();
  const body::Body body = body::make_body(scene.climber.measures);
  FootOptions options = make_options(2);
  options.on_progress = [](int, int) { return false; };
  EXPECT_LE(find_feet(scene, body, scene.moves[0], options).size(), 4U);
}

}  // namespace
}  // namespace steepwright::move
