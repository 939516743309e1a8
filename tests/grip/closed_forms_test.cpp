// Cases of the finger that pencil and paper answer exactly.

#include "engine/core/units.h"
#include "engine/grip/capacity.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace steepwright::grip {
namespace {

/// Normal that leans outward from the floor's.
Vec2 leaning(double angle) { return {-std::sin(angle), std::cos(angle)}; }

constexpr double kExact = 1e-9;  ///< relative: rounding only

Finger middle_finger() { return make_fingers({})[index_of(Digit::kMiddle)]; }

/// A frictionless pad on the end bone of a flat floor: the hold pushes straight up (z), so the levers are distances
/// along y.
Seating seat_at_levers(double lever_dip_m, double lever_pip_m, double lever_mcp_m) {
  Seating seating;
  seating.contacts.push_back({Vec2(0.010, 0.0), Vec2::UnitY(), 1e6, Bone::kDistal});
  seating.dip = Vec2(0.010 - lever_dip_m, 0.007);
  seating.pip = Vec2(0.010 - lever_pip_m, 0.020);
  seating.mcp = Vec2(0.010 - lever_mcp_m, 0.015);
  return seating;
}

/// Torque that the small extensor slips can put on the middle or end joint at most, Nm: as the program has it.
double find_slip_moment(const LoadProgram& program, int joint) {
  for (std::size_t g = 0; g < program.n_groups(); ++g) {
    if (program.row(LoadProgram::column(g, 1)) == LoadProgram::Row(kMomentScale * LoadProgram::Row::Unit(joint)))
      return program.limit(g);
  }
  return 0.0;
}

// ---- lever ----

constexpr Flexion kBent = {0.5, 1.0, 0.3};
constexpr FingerPosture kBentPosture = {-0.2, kBent.dip, kBent.pip, 0.0};

TEST(Lever, DeepFlexorAloneCarriesItsTensionTimesArmOverLever) {
  // With levers in the ratio of the deep tendon's arms, that tendon alone balances all three joints: T = F lever / arm.
  // At the end joint it has no helper (bent, so no ligament): F = T_max arm / lever is the limit.
  const Finger finger = middle_finger();
  const MomentArms arms = find_moment_arms(finger, kBent);
  constexpr double kRatio = 2.5;
  const Seating seating = seat_at_levers(kRatio * arms.deep_dip, kRatio * arms.deep_pip, kRatio * arms.deep_mcp);
  FingerProgram program;
  program.build(finger, seating, kBentPosture, kBent.mcp, {200.0, 0.0, 0.0}, 0.0);
  EXPECT_NEAR(program.solve_along(Vec2::UnitY()), 200.0 / kRatio, kExact * 200.0);
  const FingerLoad load = program.load();
  EXPECT_NEAR(load.deep_N, 200.0, kExact * 200.0);
  EXPECT_NEAR(load.deep_N, load.force.y() * kRatio * arms.deep_dip / arms.deep_dip, kExact * 200.0);
  EXPECT_NEAR(load.force.x(), 0.0, kExact);
  EXPECT_EQ(load.superficial_N, 0.0);
  EXPECT_EQ(load.passive_dip_Nm, 0.0);
}

TEST(Lever, SuperficialFlexorTakesWhatTheMiddleJointNeedsBeyondTheDeepOne) {
  // End joint as above. The middle joint's lever is longer: T_superficial = (F lever - T_deep arm) / its arm, and more
  // by as much as the slips pull against it.
  const Finger finger = middle_finger();
  const MomentArms arms = find_moment_arms(finger, kBent);
  constexpr double kRatio = 2.5;
  constexpr double kDeep_N = 200.0;
  constexpr double kForce_N = kDeep_N / kRatio;
  constexpr double kSuperficial_N = 90.0;
  const double lever_pip_m = (kDeep_N * arms.deep_pip + kSuperficial_N * arms.superficial_pip) / kForce_N;
  const double lever_mcp_m = (kDeep_N * arms.deep_mcp + kSuperficial_N * arms.superficial_mcp) / kForce_N;
  FingerProgram program;
  program.build(finger, seat_at_levers(kRatio * arms.deep_dip, lever_pip_m, lever_mcp_m), kBentPosture, kBent.mcp,
                {kDeep_N, 1000.0, 0.0}, 0.0);
  EXPECT_NEAR(program.solve_along(Vec2::UnitY()), kForce_N, kExact * kForce_N);
  const double slip_N = find_slip_moment(program.program(), 1) / arms.superficial_pip;
  EXPECT_NEAR(program.load().deep_N, kDeep_N, kExact * kDeep_N);
  EXPECT_GE(program.load().superficial_N, kSuperficial_N - kExact * kDeep_N);
  EXPECT_LE(program.load().superficial_N, kSuperficial_N + slip_N + kExact * kDeep_N);
}

TEST(Lever, TheWeakestJointLimitsTheForce) {
  // The same finger, its middle joint's lever ever longer. First the end joint limits, F = T_deep arm / lever; then the
  // middle one with both tendons at their strength, F lever_pip = arm_pip T_deep + arm_sup T_superficial; then again
  // the middle one, where the end joint no longer lets the deep tendon pull fully: it pulls by what the slip there
  // (torque s) holds against, arm_dip T_deep = F lever_dip + s, so that
  //   F = (arm_pip / arm_dip s + arm_sup T_superficial) / (lever_pip - arm_pip / arm_dip lever_dip).
  // The knuckle's lever is set to what the tendons give there at that force, so that it never limits.
  const Finger finger = middle_finger();
  const MomentArms arms = find_moment_arms(finger, kBent);
  constexpr double kDeep_N = 200.0;
  constexpr double kSuperficial_N = 90.0;
  constexpr double kRatio = 2.5;
  const double lever_dip_m = kRatio * arms.deep_dip;
  const double transfer = arms.deep_pip / arms.deep_dip;
  int n_by_end = 0;
  int n_by_both = 0;
  int n_by_middle = 0;
  for (double lever_pip_m = 0.028; lever_pip_m < 0.060; lever_pip_m += 0.001) {
    FingerProgram program;
    const auto build = [&](double lever_mcp_m) {
      program.build(finger, seat_at_levers(lever_dip_m, lever_pip_m, lever_mcp_m), kBentPosture, kBent.mcp,
                    {kDeep_N, kSuperficial_N, 0.0}, 0.0);
    };
    build(0.0);
    const double slip_Nm = find_slip_moment(program.program(), 0);
    const double by_end_N = kDeep_N * arms.deep_dip / lever_dip_m;
    const double by_middle_N =
        (transfer * slip_Nm + kSuperficial_N * arms.superficial_pip) / (lever_pip_m - transfer * lever_dip_m);
    const double by_both_N = (kDeep_N * arms.deep_pip + kSuperficial_N * arms.superficial_pip) / lever_pip_m;
    const double expected_N = std::min({by_end_N, by_both_N, by_middle_N});
    n_by_end += expected_N == by_end_N ? 1 : 0;
    n_by_both += expected_N == by_both_N ? 1 : 0;
    n_by_middle += expected_N == by_middle_N ? 1 : 0;
    const double deep_N = std::min(kDeep_N, (expected_N * lever_dip_m + slip_Nm) / arms.deep_dip);
    const double superficial_N = (expected_N * lever_pip_m - deep_N * arms.deep_pip) / arms.superficial_pip;
    build((deep_N * arms.deep_mcp + superficial_N * arms.superficial_mcp) / expected_N);
    EXPECT_NEAR(program.solve_along(Vec2::UnitY()), expected_N, kExact * expected_N) << lever_pip_m;
  }
  EXPECT_GT(n_by_end, 2);
  EXPECT_GT(n_by_both, 0);
  EXPECT_GT(n_by_middle, 2);
}

// ---- Coulomb's wedge ----

/// Of a point pad at the base of the fingers, which loads no joint: friction alone decides. rad from the floor's
/// normal.
double find_outermost_pull(double mu) {
  Seating seating;
  seating.contacts.push_back({Vec2(0.010, 0.0), Vec2::UnitY(), 100.0, Bone::kPalm});
  FingerProgram program;
  program.build(middle_finger(), seating, kBentPosture, kBent.mcp, {200.0, 100.0, 0.0}, mu);
  double holds = 0.0;
  double slips = 0.5 * kPi;
  for (int i = 0; i < 60; ++i) {
    const double tried = 0.5 * (holds + slips);
    (program.solve_along(pull_direction(tried)) > 1.0 ? holds : slips) = tried;
  }
  return holds;
}

hold::Site incut_site(double incut_deg) {
  hold::Shape shape;
  shape.width_m = 0.12;
  shape.height_m = 0.06;
  shape.depth_m = 0.020;
  shape.protrusion_m = 0.025;
  shape.incut = rad_from_deg(incut_deg);
  return hold::make_hold(shape).sites.at(0);
}

/// Pull out of the panel over pull along it, of a force at `angle` to the site's floor.
double find_outward_ratio(const hold::Site& site, double angle) {
  const Vec3 f_H = site.X_HS.R * Vec3(0.0, std::sin(angle), std::cos(angle));
  return -f_H.z() / f_H.y();
}

TEST(CoulombWedge, OfAPointPadLeansOutFromThePanelByFrictionAngleAndIncut) {
  // Closed form: the largest pull out of the wall over the pull along it is tan(atan(mu) + incut).
  for (const double mu : {0.4, 0.6, 0.75}) {
    const double outermost = find_outermost_pull(mu);
    for (const double incut_deg : {-15.0, 0.0, 10.0, 25.0}) {
      const double expected = std::tan(std::atan(mu) + rad_from_deg(incut_deg));
      EXPECT_NEAR(find_outward_ratio(incut_site(incut_deg), outermost), expected, 1e-7 * (1.0 + expected)) << mu;
    }
  }
}

TEST(CoulombWedge, OfTheHandsCapacityHasTheSameBorder) {
  FingerStrength strength;
  strength.edge_force_N = 450.0;
  const Hand hand = make_hand({}, strength);
  FingerSearch search;
  for (const double incut_deg : {-15.0, 0.0, 10.0, 25.0}) {
    const hold::Site site = incut_site(incut_deg);
    const CapacitySet set_H = make_hand_capacity({&site, Grip::kHalfCrimp, &hand, 0.0}, search).rotated(site.X_HS.R);
    const double ratio = std::tan(std::atan(find_mu(site, hand)) + rad_from_deg(incut_deg));
    const double border = std::atan(ratio);
    const auto lean = [](double angle) { return Vec3(0.0, std::cos(angle), -std::sin(angle)); };
    EXPECT_NEAR(find_slip_margin(set_H, lean(border)), 0.0, 1e-9) << incut_deg;
    EXPECT_GT(find_slip_margin(set_H, lean(border - 1e-6)), 0.0) << incut_deg;
    EXPECT_LT(find_slip_margin(set_H, lean(border + 1e-6)), 0.0) << incut_deg;
    // And strength right up to it: inside by a hundredth of a degree the hand holds something.
    EXPECT_LT(find_capacity_use(set_H, lean(border - rad_from_deg(0.01))), 1.0) << incut_deg;
  }
}

// ---- belt over an edge ----

// A belt that slides over a rounding by an angle b gains tension T2 / T1 = e^(mu b) (Euler, Eytelwein). Does the finger
// have this? Its bones are rigid and its tip is not anchored: with joints free of tendons and nothing that pulls at the
// tip, T1 = 0 and a free chain holds nothing over a rounding; what holds a finger are its tendons. So e^(mu b) is no
// limit of a hand on a lip. But the balance of one finger with slack tendons, an anchor at its tip and pads only at its
// joints is a chain of three links over two corners, each turning by t. Its corner carries the anchor's pull u1 T1, the
// next link's u2 T2 and the hold's force within mu of the bisector:
//
//   (T2 - T1) cos(t/2) <= mu (T1 + T2) sin(t/2)   =>   T2 / T1 <= cos(t/2 - phi) / cos(t/2 + phi),  tan phi = mu.
//
// Two corners square it, chains of such fingers multiply it, and its limit for many small corners is the belt's.

/// Tension that three links over two corners of `turn` hold, for an anchor that pulls with up to anchor_N.
double solve_two_corners(double anchor_N, double turn, double mu) {
  // Links of 20 mm; the end link points along +y, and each next one (towards the knuckle) leans down by `turn`, over
  // the hold's rounding outward.
  const auto link = [&](int i) { return Vec2(std::cos(i * turn), std::sin(i * turn)); };  // towards the tip
  Seating seating;
  seating.dip = Vec2::Zero();
  seating.pip = seating.dip - 0.020 * link(1);
  seating.mcp = seating.pip - 0.020 * link(2);
  // The anchor: a face at the tip square to the end link that pulls it onward; normal (-sin lean, cos lean) = +y.
  seating.contacts.push_back({0.020 * link(0), leaning(-0.5 * kPi), anchor_N, Bone::kDistal});
  // Pads at the joints, normals along the bisectors. Each is part of the bone before the joint.
  constexpr double kPlenty_N = 1e6;
  seating.contacts.push_back({seating.dip, leaning(0.5 * turn), kPlenty_N, Bone::kDistal});
  seating.contacts.push_back({seating.pip, leaning(1.5 * turn), kPlenty_N, Bone::kMiddle});
  FingerProgram program;
  program.build(middle_finger(), seating, {}, 0.0, {0.0, 0.0, 0.0}, mu);
  return program.solve_along(link(2));
}

TEST(BeltOverAnEdge, TwoCornersMultiplyTensionByTheSquareOfOne) {
  for (const double mu : {0.3, 0.6, 0.9}) {
    for (const double turn : {0.05, 0.2, 0.5, 0.8}) {
      const double phi = std::atan(mu);
      const double one = std::cos(0.5 * turn - phi) / std::cos(0.5 * turn + phi);
      const double expected_N = 10.0 * one * one;
      EXPECT_NEAR(solve_two_corners(10.0, turn, mu), expected_N, kExact * expected_N) << mu << " " << turn;
    }
  }
}

TEST(BeltOverAnEdge, ManySmallCornersApproachTheBelt) {
  // Chains over a right angle: each finger's tension anchors the next. The error falls with the square of the corners.
  const double mu = 0.6;
  const double wrap = 0.5 * kPi;
  const double belt = std::exp(mu * wrap);
  const auto find_error = [&](int n_fingers) {
    double tension_N = 1.0;
    for (int i = 0; i < n_fingers; ++i) tension_N = solve_two_corners(tension_N, wrap / (2.0 * n_fingers), mu);
    return tension_N / belt - 1.0;
  };
  const double coarse = find_error(4);
  const double fine = find_error(16);
  EXPECT_LT(std::abs(coarse), 0.02);
  EXPECT_LT(std::abs(fine), 0.002);
  EXPECT_NEAR(coarse / fine, 16.0, 1.0);
}

TEST(BeltOverAnEdge, HoldsNothingWithoutAnAnchor) { EXPECT_NEAR(solve_two_corners(0.0, 0.5, 0.9), 0.0, 1e-9); }

TEST(BeltOverAnEdge, TwoPadsOnARoundingHoldBetweenTheirOutermostBorders) {
  // Two point pads on a rounding, normals apart by the angle b, no joint loaded: the directions they hold together run
  // from the outer border of the one to the inner border of the other, b + 2 atan(mu) in all.
  const double mu = 0.6;
  const double phi = std::atan(mu);
  const double angle = 0.7;
  Seating seating;
  seating.contacts.push_back({Vec2(0.010, 0.0), Vec2::UnitY(), 100.0, Bone::kPalm});
  seating.contacts.push_back({Vec2(0.004, -0.002), leaning(angle), 100.0, Bone::kPalm});
  FingerProgram program;
  program.build(middle_finger(), seating, kBentPosture, kBent.mcp, {200.0, 100.0, 0.0}, mu);
  const auto holds = [&](double pull) { return program.solve_along(pull_direction(pull)) > 1e-6; };
  // The leaning normal points outward, to negative pulls.
  EXPECT_TRUE(holds(phi - 1e-6));
  EXPECT_FALSE(holds(phi + 1e-6));
  EXPECT_TRUE(holds(-angle - phi + 1e-6));
  EXPECT_FALSE(holds(-angle - phi - 1e-6));
  // Along the middle both carry fully; each leans to it by half the angle, which friction need not help with:
  // 2 limit (cos(b/2) + mu sin(b/2)).
  const double expected_N = 200.0 * (std::cos(0.5 * angle) + mu * std::sin(0.5 * angle));
  EXPECT_NEAR(program.solve_along(pull_direction(-0.5 * angle)), expected_N, kExact * expected_N);
}

}  // namespace
}  // namespace steepwright::grip
