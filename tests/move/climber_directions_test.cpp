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
    return posture::solve_stance(make_stance_problem(scene, body_, stance, hands_), {}, nullptr, workspace_);
  }

  /// The pose of a vertical wall, wall and body turned together by the overhang about the foot of the wall.
  Loads find_loads_at_equal_pose(const posture::StanceAnswer& upright, double angle_deg, const Stance& stance) {
    const Scene scene = make_four_hold_scene(angle_deg);
    const posture::StanceProblem problem = make_stance_problem(scene, body_, stance, hands_);
    const Mat3 R = rotation_by(Vec3::UnitX() * rad_from_deg(angle_deg));
    posture::StanceAnswer answer = upright;
    answer.posture.p_WB = R * upright.posture.p_WB;
    answer.posture.R_WB = R * upright.posture.R_WB;
    posture::solve_answers(problem, workspace_, answer);
    EXPECT_LT(answer.distribution.residual_N, 0.5);
    return find_loads(problem, answer.distribution);
  }

  body::Body body_ = body::make_body({});
  grip::CapacityCache hands_{make_climber_hand(make_four_hold_scene(0.0).climber, body_)};
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
    const Loads loads = find_loads(make_stance_problem(scene, body_, four_holds(), hands_), answer.distribution);
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

/// The four (or three) holds of a vertical wall with the centre of mass `distance_m` from it, midway between the feet:
/// the least squared contact activation alone, since the study varied the distance and not the joints.
Loads find_loads_at_distance(const Scene& scene, const body::Body& body, const Stance& stance, double distance_m) {
  grip::CapacityCache hands(make_climber_hand(scene.climber, body));
  const posture::StanceProblem problem = make_stance_problem(scene, body, stance, hands);
  statics::StaticsProblem statics;
  statics.weight_N = body.tree.mass_kg * kGravity;
  statics.p_Wcm = Vec3(1.2, -distance_m, 1.0);
  for (const posture::LimbGoal& goal : problem.limbs) {
    statics::Contact contact;
    contact.capacity = goal.capacity;
    contact.capacity.mu = 2.0;  // holds that the study's climbers did not slip from
    contact.scale_N = 1000.0;
    contact.first_point = statics.n_points();
    contact.n_points = static_cast<int>(goal.points.size());
    for (const Vec3& p_WC : goal.points) statics.points.push_back(p_WC - p_WC.y() * Vec3::UnitY());
    statics.contacts.push_back(contact);
  }
  statics::DistributionWorkspace workspace;
  const statics::Distribution distribution = statics::solve_distribution(statics, {}, workspace);
  EXPECT_EQ(distribution.status, statics::Status::kSolved);
  return find_loads(problem, distribution);
}

// Quaine, Martin & Blanchi 1997 (read): on a vertical wall the horizontal hand forces follow the couple of the body
// weight about the feet, so from 0.40 m to 0.25 m they fall in that proportion.
TEST_F(ClimberDirections, HandHorizontalsFallInProportionToTheDistance) {
  const Scene scene = make_four_hold_scene(0.0);
  const Loads far = find_loads_at_distance(scene, body_, four_holds(), 0.40);
  const Loads near = find_loads_at_distance(scene, body_, four_holds(), 0.25);
  EXPECT_NEAR(near.hands().y() / far.hands().y(), 0.25 / 0.40, 1e-6);
  // W d / h, h = height of the hands over the feet: closed form of the planar body.
  EXPECT_NEAR(far.hands().y(), weight_N_ * 0.40 / 1.50, 1e-3 * weight_N_);
}

// The same study: after the right hand lets go the left one takes its horizontal pull too, and the shift between the
// feet is smaller when the trunk is close.
TEST_F(ClimberDirections, ReleasingAHandShiftsLessWhenTheTrunkIsClose) {
  const Scene scene = make_four_hold_scene(0.0);
  Stance three_holds = four_holds();
  three_holds.limbs[index_of(Limb::kRightHand)].reset();
  double shift[2];
  const double distances_m[] = {0.25, 0.40};
  for (int i = 0; i < 2; ++i) {
    const Loads before = find_loads_at_distance(scene, body_, four_holds(), distances_m[i]);
    const Loads after = find_loads_at_distance(scene, body_, three_holds, distances_m[i]);
    EXPECT_NEAR(after.f_W[0].y(), 2.0 * before.f_W[0].y(), 1e-3 * weight_N_);
    shift[i] = ((after.f_W[2] - before.f_W[2]) - (after.f_W[3] - before.f_W[3])).norm();
  }
  EXPECT_LT(shift[0], 0.9 * shift[1]);
}

}  // namespace
}  // namespace steepwright::move
