// A whole problem: what follows what, what is left of a stance, and which move is the crux.

#include "engine/move/problem.h"

#include "tests/move/traced_scenes.h"

#include <gtest/gtest.h>

#include <algorithm>

namespace steepwright::move::tests {
namespace {

/// Left hand up, right hand up after it, and a third move that starts from the first stance again.
Scene make_problem_scene() {
  Scene scene = make_panel_scene(20.0, {{"left rail", 1.00, 1.60},
                                        {"right rail", 1.45, 1.65},
                                        {"left block", 0.95, 0.55, true},
                                        {"right block", 1.40, 0.50, true},
                                        {"high left", 1.05, 1.85},
                                        {"high right", 1.40, 1.95}});
  Move first;
  first.name = "left up";
  first.before.limbs[0] = on_hold(0, Grip::kJug);
  first.before.limbs[1] = on_hold(1, Grip::kJug);
  first.before.limbs[2] = on_hold(2);
  first.before.limbs[3] = on_hold(3);
  first.moving = Limb::kLeftHand;
  first.target = on_hold(4, Grip::kJug);
  Move second = first;
  second.name = "right up";
  second.before.limbs[0] = first.target;
  second.moving = Limb::kRightHand;
  second.target = on_hold(5, Grip::kJug);
  Move third = first;
  third.name = "left up again";
  scene.moves = {first, second, third};
  return scene;
}

const ProblemResult& solved() {
  static const ProblemResult kSolved = [] {
    const Scene scene = make_problem_scene();
    return solve_problem(scene, body::make_body(scene.climber.measures), {});
  }();
  return kSolved;
}

TEST(Problem, MovesFollowWhereTheStancesMeet) {
  ASSERT_EQ(solved().moves.size(), 3U);
  EXPECT_FALSE(solved().moves[0].follows);
  EXPECT_TRUE(solved().moves[1].follows);
  EXPECT_FALSE(solved().moves[2].follows);
}

TEST(Problem, CruxHasThePeakEffort) {
  ASSERT_TRUE(solved().crux);
  for (const ProblemMove& step : solved().moves)
    EXPECT_LE(step.result.effort_peak, solved().moves[*solved().crux].result.effort_peak);
}

TEST(Problem, SettledStanceHasTheTargetInPlaceOfTheHold) {
  const Scene scene = make_problem_scene();
  const Stance& settled = solved().moves[0].settled;
  ASSERT_TRUE(settled.limbs[0]);
  EXPECT_EQ(settled.limbs[0]->hold, scene.moves[0].target.hold);
  EXPECT_TRUE(settled == scene.moves[1].before);
}

TEST(Problem, FootThatHangsAtTheEndIsNotInTheNextStance) {
  const Move move = make_problem_scene().moves.front();
  MoveResult result;
  result.frames.resize(1);
  result.frames[0].has_posture = true;
  for (const Limb limb : {Limb::kLeftHand, Limb::kRightHand, Limb::kLeftFoot}) {
    ContactResult contact;
    contact.limb = limb;
    result.frames[0].contacts.push_back(contact);
  }
  const Stance settled = find_settled_stance(move, result);
  EXPECT_TRUE(settled.limbs[index_of(Limb::kLeftFoot)]);
  EXPECT_FALSE(settled.limbs[index_of(Limb::kRightFoot)]);
}

TEST(Problem, OfNoMovesHasNoCruxAndDoesNotHold) {
  Scene scene = make_problem_scene();
  scene.moves.clear();
  const ProblemResult problem = solve_problem(scene, body::make_body(scene.climber.measures), {});
  EXPECT_FALSE(problem.crux);
  EXPECT_FALSE(problem.holds);
}

TEST(Problem, StancesDifferByGripHoldAndSmear) {
  Stance a;
  a.limbs[0] = on_hold(0, Grip::kJug);
  Stance b = a;
  EXPECT_TRUE(a == b);
  b.limbs[0]->grip = Grip::kOpenHand;
  EXPECT_FALSE(a == b);
  b = a;
  b.limbs[3] = LimbPlace{-1, 0, std::nullopt, 0, 1.0, 0.3};
  EXPECT_FALSE(a == b);
  a = b;
  b.limbs[3]->up_m = 0.31;
  EXPECT_FALSE(a == b);
}

}  // namespace
}  // namespace steepwright::move::tests
