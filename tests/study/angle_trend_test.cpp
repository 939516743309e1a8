// A four-contact stance from vertical to 60 degrees: the hands' pull square to the panel. Planar statics (moments about
// the feet) gives N_hands / W = (s sin a + d cos a) / h with the centre of mass s up the panel from the feet and d out
// of it, hands h up from the feet: 0.19, 0.37, 0.51, 0.58 at 0, 20, 40, 60 degrees for h = 1.60, s = 0.90, d = 0.30 m
// (worked by hand). At each angle also: a contact more is never worse.

#include "engine/posture/stance.h"
#include "engine/study/knob.h"
#include "engine/study/warm_stance.h"
#include "tests/support/study_scene.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright::study {
namespace {

struct Pull {
  double angle = 0.0;
  bool is_held = false;
  double effort = 0.0;
  bool is_grip_deciding = false;  ///< else a joint's torque decides
  double least_without = 0.0;     ///< least effort in the same posture with one contact fewer
  double hands = 0.0;             ///< share of the weight
  double planar = 0.0;            ///< the same by the formula, from this posture's s and d
};

move::Scene make_four_contacts() {
  move::Scene scene = tests::make_study_scene(0.0);
  // Both feet on the panel, 1.4 m below the hands, on blocks that a toe can pull on: with 25 degrees of incut a foot
  // slips off at 60 degrees (3 % more friction would do), whatever the strength.
  for (const std::size_t foot : {2U, 3U}) {
    hold::Shape incut = scene.holds[foot].hold.shape;
    incut.incut = rad_from_deg(35.0);
    scene.holds[foot].hold = hold::make_hold(incut);
    scene.holds[foot].strip = 1;
    scene.holds[foot].up_m = 0.1;
  }
  scene.holds[0].up_m = scene.holds[1].up_m = 1.5;
  return scene;
}

/// Least effort in a posture with one of the loaded limbs let go.
double find_least_without(const posture::StanceProblem& problem, const body::Posture& posture) {
  WarmStance warm(*problem.body);
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t k = 0; k < problem.limbs.size(); ++k) {
    posture::StanceProblem fewer = problem;
    fewer.limbs[k].is_loaded = false;
    least = std::min(least, warm.find_effort(fewer, posture));
  }
  return least;
}

Pull find_pull(const move::Scene& upright, double angle_deg) {
  const TurnedScene turned = turn_knobs(upright, {Knob{KnobKind::kAngle, 1}}, {angle_deg});
  const move::Scene& scene = turned.scene;
  const body::Body body = body::make_body(scene.climber.measures);
  posture::StanceWorkspace workspace(body);
  grip::CapacityCache hands(move::make_climber_hand(scene.climber, body));
  const posture::StanceProblem problem = move::make_stance_problem(scene, body, scene.moves[0].before, hands);
  const posture::StanceAnswer answer = posture::solve_stance(problem, {}, nullptr, workspace);
  Pull pull;
  pull.angle = rad_from_deg(angle_deg);
  pull.is_held = answer.is_held();
  pull.effort = answer.effort.rho;
  pull.is_grip_deciding = answer.effort.limits[0].kind == statics::LimitShare::Kind::kCapacityBound;
  pull.least_without = find_least_without(problem, answer.posture);
  const Mat3& R = scene.wall.strips[1].X_WP.R;
  double hands_N = 0.0;
  Vec3 hands_W = Vec3::Zero(), feet_W = Vec3::Zero();
  Eigen::Index column = 0;
  for (const posture::LimbGoal& goal : problem.limbs) {
    (is_hand(goal.limb) ? hands_W : feet_W) += 0.5 * goal.p_WC;
    for (std::size_t p = 0; p < goal.points.size(); ++p, column += 3) {
      if (is_hand(goal.limb)) hands_N -= answer.distribution.forces.segment<3>(column).dot(R.col(2));
    }
  }
  body::update_kinematics(body.tree, answer.posture, workspace.search.posture.kinematics);
  const Vec3 from_feet_W = workspace.search.posture.kinematics.p_Wcm - feet_W;
  pull.hands = hands_N / workspace.statics.weight_N;
  pull.planar = (from_feet_W.dot(R.col(1)) * std::sin(pull.angle) + from_feet_W.dot(R.col(2)) * std::cos(pull.angle)) /
                (hands_W - feet_W).dot(R.col(1));
  return pull;
}

TEST(AngleSweep, LoadsTheHandsAsPlanarStaticsDoes) {
  const move::Scene upright = make_four_contacts();
  double last_hands = 0.0, last_effort = 0.0;
  for (const double angle_deg : {0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0}) {
    const Pull pull = find_pull(upright, angle_deg);
    EXPECT_TRUE(pull.is_held) << angle_deg;
    EXPECT_NEAR(pull.hands, pull.planar, 0.03) << angle_deg;
    // At the upright wall the legs decide; as soon as the hands do, effort grows with their pull.
    EXPECT_EQ(pull.is_grip_deciding, angle_deg > 5.0 && angle_deg < 55.0) << angle_deg;
    if (angle_deg > 15.0) {
      EXPECT_GT(pull.effort, last_effort) << angle_deg;
    }
    // Forces of fewer contacts are forces of all: what holds with three holds with four, at no more effort.
    EXPECT_GE(pull.least_without, pull.effort - 1e-6) << angle_deg;
    // At 60 degrees the feet are about to slip, and the body comes nearer to the wall.
    if (angle_deg < 55.0) {
      EXPECT_GT(pull.hands, last_hands) << angle_deg;
    } else {
      EXPECT_GT(pull.hands, 0.5);
    }
    last_hands = pull.hands;
    last_effort = pull.effort;
  }
}

}  // namespace
}  // namespace steepwright::study
