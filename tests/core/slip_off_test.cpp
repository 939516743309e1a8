#include "engine/core/slip_off.h"

#include "engine/core/random.h"
#include "engine/core/units.h"

#include <algorithm>
#include <cmath>

namespace steepwright {
namespace {

const Vec3 kLip = Vec3::UnitX();

/// A floor's skin, and 100 N along its normal, `outward_N` along the floor.
CapacitySet make_set(double mu, double outward_N) {
  CapacitySet set;
  set.mu = mu;
  set.bounds.push_back({Vec3::UnitZ(), 100.0});
  set.bounds.push_back({Vec3::UnitY(), outward_N});
  return set;
}

/// f turned by rotating it, not by the closed form.
Vec3 turn_outward(const Vec3& f, double turn) { return rotation_by(-turn * kLip) * f; }

bool is_inside(const CapacitySet& set, const Vec3& f) {
  return find_slip_margin(set, f) >= 0.0 && find_capacity_use(set, f) <= 1.0;
}

TEST(SlipOff, OfALightLoadIsTheFrictionAngle) {
  const CapacitySet set = make_set(0.6, 40.0);
  const SlipOff slip_off = find_slip_off(set, Vec3(0.0, 0.0, 20.0), kLip);
  EXPECT_NEAR(slip_off.margin, std::atan(0.6), 1e-12);
  EXPECT_FALSE(slip_off.is_by_strength);
}

// 80 N leave 40 N along the floor at 30 degrees: arcsine.
TEST(SlipOff, OfAHeavyLoadIsTheTurnThatOpensTheFingers) {
  const CapacitySet set = make_set(0.6, 40.0);
  const SlipOff slip_off = find_slip_off(set, Vec3(0.0, 0.0, 80.0), kLip);
  EXPECT_NEAR(deg_from_rad(slip_off.margin), 30.0, 1e-9);
  EXPECT_TRUE(slip_off.is_by_strength);
  const Vec3 swung = turn_outward(Vec3(0.0, 0.0, 80.0), rad_from_deg(12.0));
  EXPECT_NEAR(deg_from_rad(find_slip_off(set, swung, kLip).margin), 18.0, 1e-9);
}

TEST(SlipOff, BeyondTheBorderIsWhatItMustSwingBack) {
  const CapacitySet set = make_set(0.8, 40.0);
  const Vec3 swung = turn_outward(Vec3(0.0, 0.0, 80.0), rad_from_deg(35.0));
  const SlipOff slip_off = find_slip_off(set, swung, kLip);
  EXPECT_NEAR(deg_from_rad(slip_off.margin), -5.0, 1e-9);
  EXPECT_TRUE(slip_off.is_by_strength);
  EXPECT_EQ(find_slip_off(set, Vec3(0.0, 0.0, 130.0), kLip).margin, find_strength_turn(set, Vec3(0, 0, 130.0), kLip));
}

TEST(SlipOff, IsInfiniteOrFrictionsWhereNoBoundIsMet) {
  CapacitySet set = make_set(0.6, 40.0);
  set.bounds = {{Vec3::UnitZ(), 100.0}};
  EXPECT_TRUE(std::isinf(find_strength_turn(set, Vec3(0.0, 0.0, 90.0), kLip)));
  EXPECT_EQ(find_slip_off(set, Vec3::Zero(), kLip).margin, 0.0);
}

// Against the definition: the set is left within a thousandth of a radian of the margin and not before.
TEST(SlipOff, IsWhereATurnedForceLeavesTheSet) {
  RandomStream random(41);
  int n_by_strength = 0;
  for (int i = 0; i < 20000; ++i) {
    CapacitySet set = make_set(0.7, 20.0 + 60.0 * random.uniform());
    for (int k = 0; k < 4; ++k) {
      const Vec3 a(random.normal(), random.normal(), random.normal());
      set.bounds.push_back({a.normalized(), 50.0 + 50.0 * random.uniform()});
    }
    const Vec3 f = 95.0 * random.uniform() * Vec3(0.3 * random.normal(), 0.3 * random.normal(), 1.0).normalized();
    if (!is_inside(set, f)) continue;
    const SlipOff slip_off = find_slip_off(set, f, kLip);
    ASSERT_GE(slip_off.margin, 0.0);
    if (!slip_off.is_by_strength) continue;
    ++n_by_strength;
    constexpr double kStep = 1e-3;
    for (double turn = 0.0; turn < slip_off.margin - kStep; turn += 0.02)
      ASSERT_TRUE(is_inside(set, turn_outward(f, turn))) << i << " at " << turn << " of " << slip_off.margin;
    ASSERT_FALSE(is_inside(set, turn_outward(f, slip_off.margin + kStep))) << i;
  }
  EXPECT_GT(n_by_strength, 500);
}

}  // namespace
}  // namespace steepwright
