// Comparison of grips: complete, consistent with the move itself, and as the trade expects of bent fingers.

#include "engine/move/grip_comparison.h"

#include "engine/move/instant.h"
#include "engine/move/key_stance.h"
#include "tests/move/traced_scenes.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace steepwright::move::tests {
namespace {

const Scene& scene() {
  static const Scene kScene = make_reach_scene(30.0);
  return kScene;
}

const std::vector<GripComparison>& compared() {
  static const std::vector<GripComparison> kCompared = [] {
    GripComparisonOptions options;
    options.threads = 2;
    return compare_grips(scene(), body::make_body(scene().climber.measures), scene().moves.front(), options);
  }();
  return kCompared;
}

const ComparedGrip& find_grip(const GripComparison& comparison, Grip grip) {
  return *std::find_if(comparison.grips.begin(), comparison.grips.end(),
                       [grip](const ComparedGrip& each) { return each.grip == grip; });
}

TEST(GripComparison, IsOfTheLowerHandAndOfTheTarget) {
  ASSERT_EQ(compared().size(), 2U);
  EXPECT_EQ(compared()[0].limb, Limb::kRightHand);
  EXPECT_FALSE(compared()[0].is_target);
  EXPECT_EQ(compared()[0].hold, "right rail");
  EXPECT_EQ(compared()[1].limb, Limb::kLeftHand);
  EXPECT_TRUE(compared()[1].is_target);
  EXPECT_EQ(compared()[1].hold, "high rail");
}

TEST(GripComparison, HasEveryGripOnceWithAReasonWhereItIsShut) {
  for (const GripComparison& comparison : compared()) {
    EXPECT_EQ(comparison.grips.size() + comparison.shut.size(), kGrips.size());
    for (const auto& shut : comparison.shut) EXPECT_FALSE(shut.reason.empty());
    EXPECT_EQ(std::count_if(comparison.grips.begin(), comparison.grips.end(),
                            [](const ComparedGrip& grip) { return grip.is_own; }),
              1);
  }
}

TEST(GripComparison, OwnGripIsTheMoveItself) {
  const Traced traced = trace(scene());
  for (const GripComparison& comparison : compared()) {
    const ComparedGrip& own = find_grip(comparison, Grip::kJug);
    EXPECT_TRUE(own.is_own);
    EXPECT_EQ(own.verdict, traced.result.verdict);
    // A comparison's sets are made in another order: the same to rounding.
    EXPECT_NEAR(own.effort_peak, traced.result.effort_peak, 1e-9);
    ASSERT_TRUE(own.reach_gain_m);
    EXPECT_EQ(*own.reach_gain_m, 0.0);
  }
}

TEST(GripComparison, FingersCarryTheLoadTogether) {
  for (const GripComparison& comparison : compared()) {
    for (const ComparedGrip& grip : comparison.grips) {
      if (grip.grip == Grip::kPinch || grip.load_peak_N == 0.0) continue;
      double sum_N = 0.0;
      int n_fingers = 0;
      for (const auto& finger_N : grip.fingers_N) {
        sum_N += finger_N.value_or(0.0);
        n_fingers += finger_N ? 1 : 0;
      }
      EXPECT_NEAR(sum_N, grip.load_peak_N, 1e-6 * grip.load_peak_N) << name_of(grip.grip);
      if (grip.grip == Grip::kTwoFingerOpen) {
        EXPECT_EQ(n_fingers, 2);
      }
    }
  }
}

// Common practice of the trade, no source: the open reaching hand is longer than the bent one, by up to 2-3 cm. On the
// lower hand the difference is of a few mm at most where legs and reaching arm end the reach, as here.
TEST(GripComparison, OpenReachingHandIsLonger) {
  const auto find_gain = [](std::size_t comparison, Grip grip) {
    return find_grip(compared()[comparison], grip).reach_gain_m.value_or(-1.0);
  };
  const double longer_m = find_gain(1, Grip::kOpenHand) - find_gain(1, Grip::kHalfCrimp);
  EXPECT_GT(longer_m, 0.005);
  EXPECT_LT(longer_m, 0.035);
  EXPECT_LT(std::abs(find_gain(0, Grip::kOpenHand) - find_gain(0, Grip::kHalfCrimp)), 0.035);
}

/// What the lower hand has left with another grip, under the pulls and forearms of a traced rise.
struct Held {
  double surface = 1e3;               ///< least slip margin of the surface alone
  std::optional<double> first, last;  ///< slip-off margin when the other hand has let go, and when it touches
  double use = 0.0;
};
Held hold_same_pulls(const Scene& held_scene, const Traced& traced, Grip grip) {
  grip::CapacityCache hands(make_climber_hand(held_scene.climber, traced.body));
  const LimbPlace& place = *held_scene.moves[0].before.limbs[index_of(Limb::kRightHand)];
  Held held;
  for (const Frame& frame : traced.result.frames) {
    if (frame.phase != Phase::kTravel && frame.phase != Phase::kTouch) continue;
    const ContactResult& hand = *frame.find_contact(Limb::kRightHand);
    const CapacitySet& at_site =
        hands.find(find_site(held_scene, place), grip, grip::round_to_forearm_bin(*hand.forearm_swing));
    const CapacitySet set = at_site.rotated(find_site_pose(held_scene, place).R);
    held.last = find_slip_off(set, hand.f_C_W, hand.lip_W).margin;
    if (!held.first) held.first = held.last;
    held.surface = std::min(held.surface, find_slip_margin(set, hand.f_C_W));
    held.use = std::max(held.use, find_capacity_use(set, hand.f_C_W));
  }
  return held;
}

/// 18 mm deep.
hold::Shape make_edge(double incut = 0.0, double lip_radius_m = 0.004) {
  hold::Shape edge;
  edge.name = "edge";
  edge.family = hold::Family::kEdge;
  edge.width_m = 0.20;
  edge.height_m = 0.05;
  edge.protrusion_m = 0.03;
  edge.depth_m = 0.018;
  edge.incut = incut;
  edge.lip_radius_m = lip_radius_m;
  return edge;
}

// Common practice of the trade, no source: where the body rises past the lower hand and its pull swings outward, a bent
// hand has more left than an open one. Here the pull is at the border of what the skin holds, 31 degrees outward on an
// 18 mm edge without incut: there is no margin left for any grip, but a bent one uses less of its fingers.
TEST(GripComparison, BentLowerHandUsesLessThanAnOpenOneAsTheBodyRises) {
  Scene edged = make_reach_scene(35.0);
  edged.holds[1].hold = hold::make_hold(make_edge());
  edged.moves[0].before.limbs[1]->grip = Grip::kOpenHand;
  edged.climber.fingers.edge_force_N = 650.0;
  const Traced traced = trace(edged);
  ASSERT_EQ(traced.result.frames.back().phase, Phase::kSettled);
  const Held open = hold_same_pulls(edged, traced, Grip::kOpenHand);
  const Held bent = hold_same_pulls(edged, traced, Grip::kHalfCrimp);
  const Held full = hold_same_pulls(edged, traced, Grip::kFullCrimp);
  EXPECT_LT(bent.use, 0.95 * open.use);
  EXPECT_LT(full.use, 0.95 * bent.use);
  EXPECT_NEAR(bent.surface, open.surface, 1e-9);
}

/// 18 mm, incut by 14 degrees behind a lip rounded by 8 mm, open lower hand: the skin would hold 45 degrees outward.
const Scene& rounded_scene() {
  static const Scene kScene = [] {
    Scene rounded = make_reach_scene(35.0);
    rounded.holds[1].hold = hold::make_hold(make_edge(rad_from_deg(14.0), 0.008));
    rounded.moves[0].before.limbs[1]->grip = Grip::kOpenHand;
    rounded.climber.fingers.edge_force_N = 540.0;
    return rounded;
  }();
  return kScene;
}
const Traced& traced_rounded() {
  static const Traced kTraced = trace(rounded_scene());
  return kTraced;
}

// Common practice of the trade, no source: as the centre of mass rises past the lower hand its margin before it slips
// off falls, and a more bent grip keeps more of it than an open one. The surface alone is the same for every grip; what
// tells them apart is how much of this load the fingers hold farther outward.
TEST(GripComparison, BentLowerHandKeepsMoreMarginThanAnOpenOneAsTheBodyRises) {
  const std::vector<Frame>& frames = traced_rounded().result.frames;
  ASSERT_EQ(frames.back().phase, Phase::kSettled);
  const auto find_height = [&frames](Phase phase) {
    const auto at = std::find_if(frames.begin(), frames.end(), [phase](const Frame& f) { return f.phase == phase; });
    return at->lower_hand->com_above_hold_m;
  };
  ASSERT_GT(find_height(Phase::kTouch), find_height(Phase::kTravel) + 0.1);
  const Held open = hold_same_pulls(rounded_scene(), traced_rounded(), Grip::kOpenHand);
  const Held bent = hold_same_pulls(rounded_scene(), traced_rounded(), Grip::kHalfCrimp);
  const Held full = hold_same_pulls(rounded_scene(), traced_rounded(), Grip::kFullCrimp);
  for (const Held* held : {&open, &bent, &full}) EXPECT_LT(*held->last, *held->first - rad_from_deg(1.0));
  EXPECT_GT(*bent.last, *open.last + rad_from_deg(5.0));
  EXPECT_GT(*full.last, *bent.last + rad_from_deg(0.5));
  EXPECT_NEAR(bent.surface, open.surface, 1e-9);
  EXPECT_NEAR(full.surface, open.surface, 1e-9);
}

// The comparison says the same: under the move's own pulls each grip's own sets decide.
TEST(GripComparison, TellsWhatEachGripWouldHaveLeftUnderTheSamePulls) {
  GripComparisonOptions options;
  options.threads = 2;
  options.known = &traced_rounded().result;
  const std::vector<GripComparison> comparisons =
      compare_grips(rounded_scene(), traced_rounded().body, rounded_scene().moves.front(), options);
  ASSERT_FALSE(comparisons.empty());
  const ComparedGrip& open = find_grip(comparisons[0], Grip::kOpenHand);
  const ComparedGrip& bent = find_grip(comparisons[0], Grip::kHalfCrimp);
  ASSERT_TRUE(open.is_own && open.slip_off && open.slip_off_same_pulls && bent.slip_off_same_pulls);
  EXPECT_NEAR(open.slip_off_same_pulls->margin, open.slip_off->margin, 1e-9);
  EXPECT_NEAR(*open.use_same_pulls, *open.use_peak, 1e-9);
  EXPECT_TRUE(open.slip_off_same_pulls->is_by_strength);
  EXPECT_GT(bent.slip_off_same_pulls->margin, open.slip_off_same_pulls->margin + rad_from_deg(5.0));
  EXPECT_LT(*bent.use_same_pulls, 0.95 * *open.use_same_pulls);
}

/// Effort of touching the high rail, raised by `up_m`, with the lower hand on an 18 mm edge.
double find_touch_effort(Grip lower_grip, double up_m) {
  Scene edged = make_reach_scene(22.0);
  edged.holds[1].hold = hold::make_hold(make_edge());
  edged.holds[4].up_m += up_m;
  place_holds(edged);
  edged.moves[0].before.limbs[1]->grip = lower_grip;
  edged.climber.fingers.edge_force_N = 480.0;
  const body::Body body = body::make_body(edged.climber.measures);
  posture::StanceWorkspace workspace(body);
  grip::CapacityCache hands(make_climber_hand(edged.climber, body));
  const SolveOptions options;
  const InstantSolver solver(edged, body, edged.moves[0], options, workspace, hands);
  Instant touch;
  touch.phase = Phase::kTouch;
  touch.stance = find_settled(edged.moves[0]);
  touch.load_share[index_of(Limb::kLeftHand)] = 0.0;
  return solver.solve_key(touch, nullptr, {}).answer.effort.rho;
}

// Common practice of the trade, no source: a more bent lower hand adds a few mm to 2-3 cm of reach. In the model that
// is the length by which the bent fingers stand the wrist nearer to the hold, 13 and 23 mm; where legs and arms are
// long enough and the hand's strength ends the reach, as here, the gain is far larger: the target may stand 18 cm
// higher.
TEST(GripComparison, BentLowerHandStandsItsWristNearerAndReachesFarther) {
  const body::Body body = body::make_body(scene().climber.measures);
  const auto find_length_m = [&body](Grip grip) { return body.station(Limb::kRightHand, grip).p_BC.norm(); };
  const double open_m = find_length_m(Grip::kOpenHand);
  const double half_m = find_length_m(Grip::kHalfCrimp);
  const double full_m = find_length_m(Grip::kFullCrimp);
  EXPECT_GT(open_m - half_m, 0.005);
  EXPECT_GT(half_m - full_m, 0.005);
  EXPECT_LT(open_m - full_m, 0.030);
  constexpr double kFarther_m = 0.18;
  EXPECT_LT(find_touch_effort(Grip::kHalfCrimp, kFarther_m), find_touch_effort(Grip::kOpenHand, 0.0));
  EXPECT_LT(find_touch_effort(Grip::kFullCrimp, kFarther_m), find_touch_effort(Grip::kHalfCrimp, 0.0));
}

// What a comparison hands on, the move's own trace: where a stance's own search has little to spare, it is looked for
// from there too. Without any lowering of efforts its own starts end at 1.14, the told ones at 1.11.
TEST(GripComparison, StancesOfATraceThatIsToldAreTriedToo) {
  Scene weak = make_reach_scene(35.0);
  weak.climber.fingers.edge_force_N = 330.0;
  const Traced told = trace(weak);
  const auto find_effort = [&](const MoveResult* like) {
    SolveOptions options;
    options.like = like;
    options.stance.max_polish = 0;
    posture::StanceWorkspace workspace(told.body);
    grip::CapacityCache hands(make_climber_hand(weak.climber, told.body));
    const InstantSolver solver(weak, told.body, weak.moves[0], options, workspace, hands);
    const KeySolver keys(weak.moves[0], solver);
    return keys.solve(Phase::kTouch, find_settled(weak.moves[0]), 0.0, nullptr, {}, 0.7).frame.effort;
  };
  EXPECT_LT(find_effort(&told.result), 0.98 * find_effort(nullptr));
}

TEST(GripComparison, OfAFootMoveIsEmpty) {
  Move move = scene().moves.front();
  move.moving = Limb::kLeftFoot;
  move.target = on_hold(3);
  EXPECT_TRUE(compare_grips(scene(), body::make_body(scene().climber.measures), move, {}).empty());
}

TEST(GripComparison, StoppedEarlyIsEmpty) {
  GripComparisonOptions options;
  options.on_progress = [](int, int) { return false; };
  EXPECT_TRUE(
      compare_grips(scene(), body::make_body(scene().climber.measures), scene().moves.front(), options).empty());
}

}  // namespace
}  // namespace steepwright::move::tests
