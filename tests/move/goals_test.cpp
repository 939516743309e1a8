#include "engine/move/goals.h"

#include "engine/core/units.h"
#include "tests/support/matchers.h"

#include <gtest/gtest.h>

namespace steepwright::move {
namespace {

using tests::is_near;

/// A 30 degree panel with one wide edge, flat floor.
Scene make_edge_scene(double rotation_deg) {
  Scene scene;
  wall::Strip panel;
  panel.name = "panel";
  panel.angle = rad_from_deg(30.0);
  panel.width_m = 2.4;
  panel.length_m = 3.0;
  scene.wall = wall::make_wall("panel", {{panel}}, std::nullopt);
  hold::Shape shape;
  shape.name = "edge";
  shape.family = hold::Family::kEdge;
  shape.width_m = 0.40;
  shape.height_m = 0.06;
  shape.protrusion_m = 0.04;
  shape.depth_m = 0.03;
  shape.lip_radius_m = 0.004;
  PlacedHold placed;
  placed.name = "edge";
  placed.across_m = 1.0;
  placed.up_m = 2.0;
  placed.rotation = rad_from_deg(rotation_deg);
  placed.hold = hold::make_hold(shape);
  scene.holds.push_back(placed);
  place_holds(scene);
  scene.climber.fingers.edge_force_N = 450.0;
  return scene;
}

LimbPlace on_edge(std::optional<Grip> grip) {
  LimbPlace place;
  place.hold = 0;
  place.grip = grip;
  return place;
}

grip::CapacityCache make_hands(const body::Body& body) {
  Climber climber;
  climber.fingers.edge_force_N = 480.0;
  return grip::CapacityCache(make_climber_hand(climber, body));
}

// Panel normal (0, -cos, -sin), up-slope (0, -sin, cos); the floor of a flat edge faces up-slope.
TEST(Goals, TurnTheCapacityWithTheHold) {
  const body::Body body = body::make_body({});
  grip::CapacityCache hands = make_hands(body);
  const double theta = rad_from_deg(30.0);
  const Vec3 up(0.0, -std::sin(theta), std::cos(theta));
  const auto upright = make_limb_goal(make_edge_scene(0.0), body, Limb::kLeftHand, on_edge(Grip::kHalfCrimp), hands);
  EXPECT_TRUE(is_near(upright.capacity.normal, up, 1e-12));
  // A quarter turn counter-clockwise makes the floor face to the climber's left: a side-pull.
  const auto side = make_limb_goal(make_edge_scene(90.0), body, Limb::kLeftHand, on_edge(Grip::kHalfCrimp), hands);
  EXPECT_TRUE(is_near(side.capacity.normal, Vec3(-1.0, 0.0, 0.0), 1e-12));
}

TEST(Goals, PutTheForcePointsAlongTheLipAboutTheContact) {
  const body::Body body = body::make_body({});
  grip::CapacityCache hands = make_hands(body);
  const auto goal = make_limb_goal(make_edge_scene(0.0), body, Limb::kRightHand, on_edge(Grip::kHalfCrimp), hands);
  ASSERT_EQ(goal.points.size(), 2U);
  EXPECT_TRUE(is_near(Vec3(0.5 * (goal.points[0] + goal.points[1])), goal.p_WC, 1e-12, "m"));
  EXPECT_NEAR((goal.points[1] - goal.points[0]).x(),
              2.0 * body.station(Limb::kRightHand, Grip::kHalfCrimp).half_spread_m, 1e-12);
}

TEST(Goals, StandTwoHandsSideBySideOnOneSite) {
  const Scene scene = make_edge_scene(0.0);
  const body::Body body = body::make_body({});
  grip::CapacityCache hands = make_hands(body);
  Stance stance;
  stance.limbs[index_of(Limb::kLeftHand)] = on_edge(Grip::kHalfCrimp);
  stance.limbs[index_of(Limb::kRightHand)] = on_edge(Grip::kHalfCrimp);
  const posture::StanceProblem problem = make_stance_problem(scene, body, stance, hands);
  ASSERT_EQ(problem.limbs.size(), 2U);
  EXPECT_NEAR(problem.limbs[0].p_WC.x(), 1.0 - 0.045, 1e-12);
  EXPECT_NEAR(problem.limbs[1].p_WC.x(), 1.0 + 0.045, 1e-12);
}

TEST(Goals, LetAFootSmearOnTheBarePanel) {
  const Scene scene = make_edge_scene(0.0);
  const body::Body body = body::make_body({});
  grip::CapacityCache hands = make_hands(body);
  LimbPlace smear;
  smear.strip = 0;
  smear.across_m = 0.5;
  smear.up_m = 1.0;
  const auto goal = make_limb_goal(scene, body, Limb::kLeftFoot, smear, hands);
  EXPECT_TRUE(is_near(goal.p_WC, scene.wall.strips[0].X_WP * Vec3(0.5, 1.0, 0.0), 1e-12, "m"));
  EXPECT_TRUE(is_near(goal.capacity.normal, scene.wall.strips[0].X_WP.R.col(2), 1e-12));
}

}  // namespace
}  // namespace steepwright::move
