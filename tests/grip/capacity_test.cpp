#include "engine/grip/capacity.h"

#include "engine/core/constants.h"
#include "engine/core/random.h"
#include "engine/core/units.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace steepwright::grip {
namespace {

constexpr int kDrawCount = 100000;
constexpr FingerStrength kStrength{500.0, true};

/// A hold whose only or first site is wanted.
hold::Site edge_site(double depth_mm, double incut_deg, hold::Surface surface = hold::Surface::kRawWood) {
  hold::Shape shape;
  shape.surface = surface;
  shape.width_m = 0.12;
  shape.height_m = 0.06;
  shape.depth_m = m_from_mm(depth_mm);
  shape.protrusion_m = shape.depth_m + 0.005;
  shape.incut = rad_from_deg(incut_deg);
  return hold::make_hold(shape).sites.at(0);
}

hold::Site pinch_site(const char* name = "right flank") {
  hold::Shape shape;
  shape.family = hold::Family::kPinch;
  shape.width_m = 0.07;
  shape.height_m = 0.16;
  shape.protrusion_m = 0.07;
  shape.depth_m = 0.05;
  return *hold::make_hold(shape).find_site(name);
}

hold::Site jug_site() {
  hold::Shape shape;
  shape.family = hold::Family::kJug;
  shape.width_m = 0.14;
  shape.height_m = 0.08;
  shape.protrusion_m = 0.07;
  shape.depth_m = 0.045;
  shape.incut = rad_from_deg(20.0);
  return hold::make_hold(shape).sites.at(0);
}

bool is_inside(const CapacitySet& set, const Vec3& f) {
  return (f.isZero() || find_slip_margin(set, f) >= 0.0) && find_capacity_use(set, f) <= 1.0;
}

Vec3 draw_force(RandomStream& random, double range_N) {
  return {random.symmetric(range_N), random.symmetric(range_N), random.symmetric(range_N)};
}

// ---- strength ----

TEST(EdgeForce, DefaultsToTheAbilityShareOfBodyWeight) {
  // 0.40, 0.50, 0.70, 0.98 W; 0.70 W of 70 kg is 480.5 N, near the 485 N of climbers (MacLeod et al. 2007, from
  // memory).
  const double weight_N = 70.0 * kGravity;
  EXPECT_DOUBLE_EQ(default_edge_force(Ability::kNonClimber, 70.0), 0.40 * weight_N);
  EXPECT_DOUBLE_EQ(default_edge_force(Ability::kIntermediate, 70.0), 0.50 * weight_N);
  EXPECT_DOUBLE_EQ(default_edge_force(Ability::kAdvanced, 70.0), 0.70 * weight_N);
  EXPECT_NEAR(default_edge_force(Ability::kAdvanced, 70.0), 480.5, 0.05);
  // Ratios 1 : 1.40 : 1.96 (Vereide et al. 2022, read).
  EXPECT_NEAR(default_edge_force(Ability::kAdvanced, 60.0) / default_edge_force(Ability::kIntermediate, 60.0), 1.40,
              1e-12);
  EXPECT_NEAR(default_edge_force(Ability::kElite, 60.0) / default_edge_force(Ability::kIntermediate, 60.0), 1.96,
              1e-12);
}

TEST(ForceShare, IsOneOnTheReferenceEdge) { EXPECT_DOUBLE_EQ(find_force_share(0.020, 4), 1.0); }

TEST(ForceShare, FollowsTheRampBetweenOneAndFourCentimetres) {
  // 350.8 N at 1 cm and 350.8 + 3 x 75 = 575.8 N at 4 cm (ends of Amca et al. 2012, read), over 425.8 N at 2 cm.
  EXPECT_NEAR(find_force_share(0.010, 4), 350.8 / 425.8, 1e-12);
  EXPECT_NEAR(find_force_share(0.030, 4), 500.8 / 425.8, 1e-12);
  EXPECT_NEAR(find_force_share(0.040, 4), 575.8 / 425.8, 1e-12);
  EXPECT_DOUBLE_EQ(find_force_share(0.090, 4), find_force_share(0.040, 4)) << "constant beyond";
  EXPECT_NEAR(find_force_share(0.005, 4), 0.5 * 350.8 / 425.8, 1e-12) << "linear to zero below";
  EXPECT_EQ(find_force_share(0.0, 4), 0.0);
}

TEST(ForceShare, NeverFallsWithDepthOrFingers) {
  for (int fingers = 1; fingers <= 4; ++fingers) {
    for (double depth_m = 0.0; depth_m < 0.06; depth_m += 0.0005) {
      EXPECT_LE(find_force_share(depth_m, fingers), find_force_share(depth_m + 0.0005, fingers));
      EXPECT_LE(find_force_share(depth_m, fingers - 1), find_force_share(depth_m, fingers));
    }
  }
}

TEST(ForceShare, OfOneTwoAndThreeFingers) {
  // 0.52, 0.78, 0.95 of four fingers (assumed, see the header).
  EXPECT_DOUBLE_EQ(find_force_share(0.020, 1), 0.52);
  EXPECT_DOUBLE_EQ(find_force_share(0.020, 2), 0.78);
  EXPECT_DOUBLE_EQ(find_force_share(0.020, 3), 0.95);
}

TEST(NormalForce, OnALedgeIsTheStatedShareOfAJug) {
  // 57-69 % (Stien et al. 2019, read): both the 23 mm ledge's share of the jug and what the header states.
  const double ledge_N = find_normal_force(edge_site(23, 0), Grip::kHalfCrimp, kStrength);
  const double jug_N = find_normal_force(jug_site(), Grip::kJug, kStrength);
  EXPECT_GE(ledge_N / jug_N, 0.57);
  EXPECT_LE(ledge_N / jug_N, 0.69);
}

TEST(NormalForce, CountsTheFingersOfTheGrip) {
  const hold::Site site = edge_site(20, 0);
  EXPECT_DOUBLE_EQ(find_normal_force(site, Grip::kHalfCrimp, kStrength), 500.0);
  EXPECT_DOUBLE_EQ(find_normal_force(site, Grip::kThreeFingerOpen, kStrength), 475.0);
  EXPECT_DOUBLE_EQ(find_normal_force(site, Grip::kTwoFingerOpen, kStrength), 390.0);
}

TEST(NormalForce, CountsOnlyTheFingersThatFindRoom) {
  hold::Shape narrow;
  narrow.width_m = 0.040;  // two fingers of 18 mm
  narrow.height_m = 0.04;
  narrow.depth_m = 0.020;
  narrow.protrusion_m = 0.025;
  EXPECT_DOUBLE_EQ(find_normal_force(hold::make_hold(narrow).sites.at(0), Grip::kHalfCrimp, kStrength), 390.0);
}

// ---- the wedge ----

TEST(HandCapacity, IsTheCoulombWedgeBoundedAlongTheFloorNormal) {
  const CapacitySet set = make_hand_capacity(edge_site(20, 15), Grip::kHalfCrimp, kStrength, true);
  RandomStream random(21);
  int inside_count = 0;
  for (int i = 0; i < kDrawCount; ++i) {
    const Vec3 f = draw_force(random, 700.0);
    const bool expected = std::hypot(f.x(), f.y()) <= 0.60 * f.z() && f.z() <= 500.0;
    inside_count += expected ? 1 : 0;
    ASSERT_EQ(is_inside(set, f), expected) << f.transpose();
  }
  EXPECT_GT(inside_count, kDrawCount / 100);
}

TEST(HandCapacity, HoldsAPullOutUpToTheFrictionAnglePlusTheIncut) {
  // Coulomb wedge: the force may lean into the wall by atan(mu) + incut from up-slope, and out of it by atan(mu) -
  // incut.
  for (double incut_deg : {-15.0, 0.0, 10.0, 30.0}) {
    const hold::Site site = edge_site(20, incut_deg);
    const CapacitySet set = make_hand_capacity(site, Grip::kHalfCrimp, kStrength, true).rotated(site.X_HS.R);
    const double limit = std::atan(0.60) + rad_from_deg(incut_deg);
    const auto lean = [](double angle) -> Vec3 { return 100.0 * Vec3(0, std::cos(angle), -std::sin(angle)); };
    EXPECT_GT(find_slip_margin(set, lean(limit - 1e-6)), 0.0) << incut_deg;
    EXPECT_LT(find_slip_margin(set, lean(limit + 1e-6)), 0.0) << incut_deg;
    EXPECT_NEAR(find_slip_margin(set, lean(limit - 0.1)), 0.1, 1e-9) << "margin is the angle to the wedge's edge";
    // The ratio of the pull out of the wall to the pull along it.
    const Vec3 f_H = lean(limit);
    EXPECT_NEAR(-f_H.z() / f_H.y(), std::tan(std::atan(0.60) + rad_from_deg(incut_deg)), 1e-9);
  }
}

TEST(HandCapacity, HasTheFrictionAngleOfItsSurface) {
  // 0.5: 26.6, 0.6: 31.0 deg (arctangents); a force along the floor normal has the whole angle as margin.
  const CapacitySet wood = make_hand_capacity(edge_site(20, 0), Grip::kHalfCrimp, kStrength, true);
  EXPECT_NEAR(deg_from_rad(find_slip_margin(wood, Vec3(0, 0, 100))), 31.0, 0.05);
  const CapacitySet worn =
      make_hand_capacity(edge_site(20, 0, hold::Surface::kWornResin), Grip::kHalfCrimp, kStrength, true);
  EXPECT_NEAR(deg_from_rad(find_slip_margin(worn, Vec3(0, 0, 100))), 26.6, 0.05);
}

TEST(HandCapacity, ShrinksWithoutChalk) {
  const hold::Site site = edge_site(20, 0);
  EXPECT_NEAR(make_hand_capacity(site, Grip::kHalfCrimp, kStrength, false).mu, 0.60 / 1.18, 1e-12);
}

TEST(HandCapacity, ContainsNoForceAtAllAndIsBoundedForEveryGrip) {
  for (const hold::Site& site : {edge_site(8, 0), edge_site(30, 20), pinch_site(), jug_site()}) {
    for (Grip grip : kGrips) {
      const CapacitySet set = make_hand_capacity(site, grip, kStrength, true);
      EXPECT_TRUE(is_inside(set, Vec3::Zero()));
      for (const HalfSpace& bound : set.bounds) {
        EXPECT_GT(bound.b_N, 0.0);
        EXPECT_NEAR(bound.a.norm(), 1.0, 1e-12);
      }
      for (const Vec3& direction : make_cone_generators(set)) {
        EXPECT_GT(find_capacity_use(set, 5000.0 * direction), 1.0) << name_of(grip) << ": unbounded";
      }
    }
  }
}

TEST(HandCapacity, ScalesWithTheMeasuredForce) {
  for (const hold::Site& site : {edge_site(15, 5), pinch_site()}) {
    const CapacitySet weak = make_hand_capacity(site, site.grips.front(), {300.0, true}, true);
    const CapacitySet strong = make_hand_capacity(site, site.grips.front(), {600.0, true}, true);
    const Vec3 f(20.0, -30.0, 90.0);
    EXPECT_NEAR(find_capacity_use(weak, f), 2.0 * find_capacity_use(strong, f), 1e-12);
  }
}

// ---- pinch ----

TEST(Pinch, HoldsEverySumOfAFingerAndAThumbForce) {
  // Draw both forces in their own friction cones and strengths; the set must hold their sum.
  const CapacitySet set = make_hand_capacity(pinch_site(), Grip::kPinch, kStrength, true);
  const double finger_N = find_normal_force(pinch_site(), Grip::kPinch, kStrength);
  const double thumb_N = kThumbForceShare * kStrength.edge_force_N;
  RandomStream random(22);
  for (int i = 0; i < kDrawCount; ++i) {
    const double N = finger_N * random.uniform();
    const double T = std::min(thumb_N, kThumbToFingers * N) * random.uniform();
    // Friction of both faces in one direction: the extreme case.
    const double angle = random.uniform(0.0, 2.0 * kPi);
    const double tangential_N = 0.60 * (N + T) * random.uniform();
    const Vec3 f(tangential_N * std::cos(angle), tangential_N * std::sin(angle), N - T);
    ASSERT_GE(find_slip_margin(set, f), -1e-9);
    ASSERT_LE(find_capacity_use(set, f), 1.0 + 1e-9);
  }
}

TEST(Pinch, CarriesTwiceTheFrictionOfItsSqueezeAlongTheFlank) {
  // Along the lip of the flank (x of S) at full squeeze: mu (N + T), with N and T at their strength.
  const CapacitySet set = make_hand_capacity(pinch_site(), Grip::kPinch, kStrength, true);
  const double N = find_normal_force(pinch_site(), Grip::kPinch, kStrength);
  const double T = kThumbForceShare * kStrength.edge_force_N;
  const Vec3 f(0.60 * (N + T), 0.0, N - T);
  EXPECT_NEAR(find_capacity_use(set, f), 1.0, 1e-12);
  EXPECT_GE(find_slip_margin(set, f), 0.0);
}

TEST(Pinch, NeverHoldsMoreThanAllFrictionOfBothStrengths) {
  const CapacitySet set = make_hand_capacity(pinch_site(), Grip::kPinch, kStrength, true);
  const double N = find_normal_force(pinch_site(), Grip::kPinch, kStrength);
  const double T = kThumbForceShare * kStrength.edge_force_N;
  RandomStream random(23);
  for (int i = 0; i < kDrawCount; ++i) {
    const Vec3 f = draw_force(random, 900.0);
    if (!is_inside(set, f)) continue;
    ASSERT_LE(f.z(), N + 1e-9);
    // The bounding planes overstate the cones by up to 1/cos(pi/8) between the axes.
    ASSERT_LE(std::hypot(f.x(), f.y()), 0.60 * (N + T) / std::cos(kPi / 8.0) + 1e-9);
  }
}

TEST(Pinch, ResistsMoreThanTheSameFlankWithoutTheThumb) {
  const hold::Site site = pinch_site();
  const CapacitySet pinched = make_hand_capacity(site, Grip::kPinch, kStrength, true);
  const CapacitySet open = make_hand_capacity(site, Grip::kOpenHand, kStrength, true);
  const Vec3 steep(100.0, 0.0, 60.0);
  EXPECT_GT(find_slip_margin(pinched, steep), 0.0);
  EXPECT_LT(find_slip_margin(open, steep), 0.0);
}

// ---- feet ----

TEST(FootCapacity, IsRubberBoundedByWhatAFootStandsOn) {
  const CapacitySet set = make_foot_capacity(edge_site(20, 0), 70.0);
  EXPECT_DOUBLE_EQ(set.mu, 0.80) << "sole on wood (assumed)";
  EXPECT_NEAR(find_capacity_use(set, Vec3(0, 0, 2.5 * 70.0 * kGravity)), 1.0, 1e-12);
}

TEST(FootCapacity, FallsInProportionOnThinChips) {
  const double full = 1.0 / find_capacity_use(make_foot_capacity(edge_site(8, 0), 70.0), Vec3(0, 0, 1));
  const double half = 1.0 / find_capacity_use(make_foot_capacity(edge_site(4, 0), 70.0), Vec3(0, 0, 1));
  EXPECT_NEAR(half / full, 0.5, 1e-12);
}

TEST(FootCapacity, OfASmearPressesIntoThePanelOnly) {
  const hold::Site panel = hold::make_panel_site();
  const CapacitySet set = make_foot_capacity(panel, 70.0).rotated(panel.X_HS.R);
  EXPECT_GT(find_slip_margin(set, Vec3(0, 50, 100)), 0.0) << "P frame: pushed out of the panel, held up";
  EXPECT_LT(find_slip_margin(set, Vec3(0, 50, -10)), 0.0) << "a smear does not pull";
}

TEST(FootCapacity, PullsOutOfTheWallOnAnIncutFloor) {
  const hold::Site site = edge_site(30, 30);
  const CapacitySet set = make_foot_capacity(site, 70.0).rotated(site.X_HS.R);
  // atan(0.8) + 30 deg = 68.7 deg from up-slope.
  const double lean = rad_from_deg(60.0);
  EXPECT_GT(find_slip_margin(set, Vec3(0, std::cos(lean), -std::sin(lean))), 0.0);
}

// ---- which grips ----

TEST(WhyNot, IsEmptyForPossibleGripsAndSaysWhyForOthers) {
  for (const hold::Site& site : {edge_site(8, 0), edge_site(30, 20), pinch_site(), jug_site()}) {
    const std::vector<Grip> possible = make_possible_grips(site);
    for (Grip grip : kGrips) {
      const bool is_possible = std::find(possible.begin(), possible.end(), grip) != possible.end();
      EXPECT_EQ(why_not(site, grip).empty(), is_possible) << name_of(grip);
    }
  }
}

}  // namespace
}  // namespace steepwright::grip
