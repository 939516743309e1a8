// Reach maps: the same on any number of threads, never past the bones, their border found again by bisection.

#include "engine/study/reach_map.h"

#include "engine/study/reach_goals.h"
#include "engine/study/reach_raster.h"
#include "tests/support/border_count.h"
#include "tests/support/study_scene.h"

#include <gtest/gtest.h>

#include <cmath>
#include <map>

namespace steepwright::study {
namespace {

struct Mapped {
  move::Scene scene;
  body::Body body;
  ReachQuestion question;
  ReachMap map;
};

Mapped make_map(double angle_deg, double pitch_m, int refine, int n_threads) {
  Mapped mapped;
  mapped.scene = tests::make_study_scene(angle_deg);
  mapped.body = body::make_body(mapped.scene.climber.measures);
  mapped.question.stance = mapped.scene.moves[0].before;
  mapped.question.moving = Limb::kRightHand;
  mapped.question.strips = {1};
  ReachOptions options;
  options.pitch_m = pitch_m;
  options.refine = refine;
  options.n_threads = n_threads;
  options.keep_proofs = true;
  mapped.map = make_reach_map(mapped.scene, mapped.body, mapped.question, options);
  return mapped;
}

const Mapped& shared_map() {
  static const Mapped mapped = make_map(20.0, 0.05, 10, 2);
  return mapped;
}

TEST(ReachMap, IsTheSameOnAnyNumberOfThreads) {
  const ReachMap one = make_map(20.0, 0.1, 2, 1).map;
  const ReachMap three = make_map(20.0, 0.1, 2, 3).map;
  ASSERT_EQ(one.places.size(), three.places.size());
  EXPECT_EQ(one.n_solved, three.n_solved);
  for (std::size_t k = 0; k < one.places.size(); ++k) {
    EXPECT_EQ(one.places[k].is_held, three.places[k].is_held);
    EXPECT_EQ(one.places[k].effort, three.places[k].effort);
  }
}

TEST(ReachMap, HasHeldGroundAndABorderAroundIt) {
  const ReachMap& map = shared_map().map;
  const auto n_held =
      std::count_if(map.places.begin(), map.places.end(), [](const ReachPlace& p) { return p.is_held; });
  EXPECT_GT(n_held, 200);
  EXPECT_GT(map.border.size(), 100U);
  for (const ReachPlace& place : map.places) {
    EXPECT_EQ(place.is_held, place.cause == move::Cause::kNone);
    if (place.is_held) {
      EXPECT_LE(place.effort, 1.0 + 1e-6);
    }
  }
}

/// The bones between a touched place and a limb that stays, in one line, bound the distance whatever the posture.
TEST(ReachMap, NeverPassesTheBones) {
  const Mapped& mapped = shared_map();
  ReachGoals goals(mapped.scene, mapped.body, mapped.question);
  const Vec3 left_W = move::find_site_pose(mapped.scene, *mapped.question.stance.limbs[0]).p;
  double farthest_m = 0.0;
  for (const ReachPlace& place : mapped.map.places) {
    if (!place.has_posture) continue;
    const Vec3 touched_W = goals.find_contact(place.strip, place.across_m, place.up_m);
    EXPECT_TRUE(goals.is_within_bones(touched_W));
    farthest_m = std::max(farthest_m, (touched_W - left_W).norm());
  }
  const double bound_m =
      find_bone_distance(mapped.body, Limb::kRightHand, Grip::kOpenHand, Limb::kLeftHand, Grip::kJug) + 0.02;
  EXPECT_LT(farthest_m, bound_m);
  EXPECT_GT(farthest_m, 0.5 * bound_m);
}

/// The map's border against bisection from inside, across the border at random segments of it. 200 lines of a harder
/// scene in study_bench.
TEST(ReachMap, HasItsBorderWhereBisectionLosesThePlace) {
  const Mapped& mapped = shared_map();
  tests::Bisection bisection(mapped.scene, mapped.body, mapped.question, 1);
  constexpr int kLines = 10;
  const tests::BorderCount count = tests::count_border(mapped.map, bisection, kLines);
  EXPECT_GE(count.n_lines, kLines - 1);
  EXPECT_EQ(count.n_wrong(), 0);
  // A search does not find every posture: now and then one side knows a posture that the other does not.
  EXPECT_GE(count.n_near + count.n_proven, count.n_lines - 1);
  EXPECT_GE(count.n_near, count.n_lines * 7 / 10);
}

TEST(ReachMap, HoldsEveryPlaceByAPostureThatStandsByItself) {
  const Mapped& mapped = shared_map();
  tests::Bisection check(mapped.scene, mapped.body, mapped.question, 1);
  int n_held = 0;
  for (std::size_t k = 0; k < mapped.map.places.size(); k += 3) {
    const ReachPlace& place = mapped.map.places[k];
    if (!place.is_held) continue;
    ++n_held;
    const ReachProof& proof = mapped.map.proofs[k];
    const double effort = check.find_effort({place.across_m, place.up_m}, {proof.forearm_bins}, proof.posture);
    EXPECT_NEAR(effort, place.effort, 2e-3) << place.across_m << " " << place.up_m;
    EXPECT_LE(effort, 1.0 + 1e-3);
  }
  EXPECT_GT(n_held, 100);
}

TEST(ReachMap, GrowsWithStrength) {
  const auto count_held = [](double strength) {
    move::Scene scene = tests::make_study_scene(40.0);
    scene.climber.measures.arm_strength *= strength;
    scene.climber.measures.core_strength *= strength;
    scene.climber.measures.leg_strength *= strength;
    scene.climber.fingers.edge_force_N *= strength;
    const body::Body body = body::make_body(scene.climber.measures);
    ReachQuestion question;
    question.stance = scene.moves[0].before;
    question.moving = Limb::kRightHand;
    question.strips = {1};
    ReachOptions options;
    options.pitch_m = 0.1;
    options.refine = 1;
    const ReachMap map = make_reach_map(scene, body, question, options);
    return std::count_if(map.places.begin(), map.places.end(), [](const ReachPlace& p) { return p.is_held; });
  };
  const auto weak = count_held(0.75);
  const auto strong = count_held(1.25);
  EXPECT_GT(strong, weak + 10);
}

TEST(ReachRaster, FillsBothSidesOfTheBorder) {
  const Mapped& mapped = shared_map();
  const auto rasters = make_reach_rasters(mapped.map);
  ASSERT_EQ(rasters.size(), 1U);
  for (const ReachPlace& place : mapped.map.places)
    EXPECT_EQ(place.is_held, !std::isnan(rasters[0].at(place.i, place.j)));
}

}  // namespace
}  // namespace steepwright::study
