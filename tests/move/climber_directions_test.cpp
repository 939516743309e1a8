// Directions of change measured on climbers standing on instrumented holds, reproduced by the whole body on a wall. The
// studies' absolute forces were not available; the direction of each change is what is tested.

#include "engine/core/constants.h"
#include "engine/core/units.h"
#include "engine/move/goals.h"
#include "engine/posture/stance.h"

#include <gtest/gtest.h>

namespace steepwright::move {
namespace {

/// A panel leaning by `angle_deg` with two hand edges and two foot edges, symmetric about the middle.
Scene make_four_hold_scene(double angle_deg) {
  Scene scene;
  wall::Strip panel;
  panel.name = "panel";
  panel.angle = rad_from_deg(angle_deg);
  panel.width_m = 2.4;
  panel.length_m = 3.0;
  scene.wall = wall::make_wall("panel", {{panel}}, std::nullopt);
  hold::Shape shape;
  shape.name = "edge";
  shape.family = hold::Family::kEdge;
  shape.surface = hold::Surface::kResinTexture;
  shape.width_m = 0.20;
  shape.height_m = 0.06;
  shape.protrusion_m = 0.04;
  shape.depth_m = 0.035;
  shape.incut = rad_from_deg(10.0);
  shape.lip_radius_m = 0.004;
  const double across_m[] = {0.95, 1.45, 1.00, 1.40};
  const double up_m[] = {1.85, 1.85, 0.35, 0.35};
  for (int i = 0; i < 4; ++i) {
    PlacedHold placed;
    placed.name = "edge " + std::to_string(i);
    placed.across_m = across_m[i];
    placed.up_m = up_m[i];
    placed.hold = hold::make_hold(shape);
    scene.holds.push_back(placed);
  }
  place_holds(scene);
  scene.climber.fingers.edge_force_N = 450.0;
  return scene;
}

Stance four_holds() {
  Stance stance;
  for (const Limb limb : kLimbs) {
    LimbPlace place;
    place.hold = static_cast<int>(index_of(limb));
    if (is_hand(limb)) place.grip = Grip::kHalfCrimp;
    stance.limbs[index_of(limb)] = place;
  }
  return stance;
}

struct Loads {
  Vec3 f_W[4];
  [[nodiscard]] Vec3 hands() const { return f_W[0] + f_W[1]; }
  [[nodiscard]] Vec3 feet() const { return f_W[2] + f_W[3]; }
};

Loads find_loads(const posture::StanceProblem& problem, const statics::Distribution& distribution) {
  Loads loads;
  for (Vec3& f : loads.f_W) f.setZero();
  Eigen::Index column = 0;
  for (const posture::LimbGoal& goal : problem.limbs) {
    for (std::size_t p = 0; p < goal.points.size(); ++p, column += 3) {
      loads.f_W[index_of(goal.limb)] += distribution.forces.segment<3>(column);
    }
  }
  return loads;
}

class ClimberDirections : public testing::Test {
 protected:
  posture::StanceAnswer solve(const Scene& scene, const Stance& stance) {
    return posture::solve_stance(make_stance_problem(scene, body_, stance), {}, nullptr, workspace_);
  }

  /// The pose of a vertical wall, wall and body turned together by the overhang about the foot of the wall.
  Loads find_loads_at_equal_pose(const posture::StanceAnswer& upright, double angle_deg, const Stance& stance) {
    const Scene scene = make_four_hold_scene(angle_deg);
    const posture::StanceProblem problem = make_stance_problem(scene, body_, stance);
    const Mat3 R = rotation_by(Vec3::UnitX() * rad_from_deg(angle_deg));
    posture::StanceAnswer answer = upright;
    answer.posture.p_WB = R * upright.posture.p_WB;
    answer.posture.R_WB = R * upright.posture.R_WB;
    posture::solve_answers(problem, workspace_, answer);
    EXPECT_LT(answer.distribution.residual_N, 0.5);
    return find_loads(problem, answer.distribution);
  }

  body::Body body_ = body::make_body({});
  posture::StanceWorkspace workspace_{body_};
  const double weight_N_ = body_.tree.mass_kg * kGravity;
};

// Balas et al. 2014 (read): on 85, 90, 98 degree walls the force on the feet falls with steepness.
TEST_F(ClimberDirections, FootShareFallsWithSteepness) {
  double last_share = 2.0;
  for (const double angle_deg : {-5.0, 0.0, 8.0}) {
    const Scene scene = make_four_hold_scene(angle_deg);
    const posture::StanceAnswer answer = solve(scene, four_holds());
    ASSERT_TRUE(answer.is_held()) << angle_deg;
    const Loads loads = find_loads(make_stance_problem(scene, body_, four_holds()), answer.distribution);
    const double share = loads.feet().z() / weight_N_;
    EXPECT_LT(share, last_share) << angle_deg;
    EXPECT_GT(share, 0.3) << angle_deg;  // foot holds usually carry more than hand holds (Fuss & Niegl, read)
    last_share = share;
  }
}

// Noe, Quaine & Martin 2001 (read): in 10 degrees of overhang the arms carry much more than on a vertical wall.
TEST_F(ClimberDirections, ArmsCarryMoreAtTenDegreesOfOverhang) {
  const posture::StanceAnswer upright = solve(make_four_hold_scene(0.0), four_holds());
  ASSERT_TRUE(upright.is_held());
  const Loads vertical = find_loads_at_equal_pose(upright, 0.0, four_holds());
  const Loads overhang = find_loads_at_equal_pose(upright, 10.0, four_holds());
  EXPECT_GT(overhang.hands().norm(), 1.15 * vertical.hands().norm());
  EXPECT_GT(overhang.hands().z(), vertical.hands().z());
}

// Quaine, Martin & Blanchi 1997 (read): releasing the right hand from four holds on a vertical wall loads above all the
// same side: the right foot takes up more than the left foot does.
TEST_F(ClimberDirections, ReleasingAHandLoadsTheSameSide) {
  const Scene scene = make_four_hold_scene(0.0);
  const posture::StanceAnswer four = solve(scene, four_holds());
  ASSERT_TRUE(four.is_held());
  const Loads before = find_loads(make_stance_problem(scene, body_, four_holds()), four.distribution);
  Stance three_holds = four_holds();
  three_holds.limbs[index_of(Limb::kRightHand)].reset();
  posture::StanceAnswer released = four;  // the same pose, as right after the release
  const posture::StanceProblem problem = make_stance_problem(scene, body_, three_holds);
  posture::solve_answers(problem, workspace_, released);
  const Loads after = find_loads(problem, released.distribution);
  EXPECT_GT((after.f_W[3] - before.f_W[3]).z(), (after.f_W[2] - before.f_W[2]).z());
}

}  // namespace
}  // namespace steepwright::move
