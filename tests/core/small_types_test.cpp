#include "engine/core/bounded_vector.h"
#include "engine/core/frames.h"
#include "engine/core/limb.h"
#include "engine/core/random.h"
#include "engine/core/units.h"
#include "tests/support/malloc_guard.h"
#include "tests/support/matchers.h"

#include <numeric>
#include <set>

namespace steepwright {
namespace {

using tests::is_near;

TEST(BoundedVector, HoldsWhatIsPushedInOrder) {
  BoundedVector<int, 4> numbers{3, 1};
  numbers.push_back(4);
  EXPECT_EQ(numbers.size(), 3U);
  EXPECT_EQ(numbers[0], 3);
  EXPECT_EQ(numbers.back(), 4);
  EXPECT_EQ(std::accumulate(numbers.begin(), numbers.end(), 0), 8);
  numbers.pop_back();
  EXPECT_EQ(numbers.back(), 1);
  numbers.clear();
  EXPECT_TRUE(numbers.empty());
}

TEST(BoundedVector, GrowsWithFreshItems) {
  BoundedVector<int, 4> numbers{7, 7, 7};
  numbers.resize(1);
  numbers.resize(3);
  EXPECT_EQ(numbers[1], 0) << "an old item does not come back";
}

TEST(BoundedVectorDeathTest, StopsWhenFull) {
  BoundedVector<int, 2> numbers{1, 2};
  EXPECT_TRUE(numbers.full());
  EXPECT_DEATH(numbers.push_back(3), "does not hold");
}

TEST(BoundedVector, DoesNotAllocate) {
  const std::size_t before = tests::allocation_count();
  BoundedVector<double, 64> numbers;
  for (int i = 0; i < 64; ++i) numbers.push_back(i);
  const double last = numbers.back();
  EXPECT_EQ(tests::allocation_count(), before);
  EXPECT_EQ(last, 63.0);
}

TEST(LimbNames, ReadBack) {
  for (Limb limb : kLimbs) EXPECT_EQ(limb_from_short_name(short_name(limb)), limb);
  EXPECT_EQ(short_name(Limb::kRightFoot), "RF");
  EXPECT_EQ(long_name(Limb::kLeftHand), "left hand");
  EXPECT_FALSE(limb_from_short_name("lh").has_value());
}

TEST(Limbs, KnowTheirSideAndKind) {
  EXPECT_TRUE(is_hand(Limb::kRightHand));
  EXPECT_FALSE(is_hand(Limb::kLeftFoot));
  EXPECT_TRUE(is_left(Limb::kLeftFoot));
  EXPECT_FALSE(is_left(Limb::kRightHand));
}

TEST(GripNames, AreDistinctAndReadBack) {
  std::set<std::string_view> names;
  for (Grip grip : kGrips) {
    EXPECT_EQ(grip_from_name(name_of(grip)), grip);
    names.insert(name_of(grip));
    EXPECT_GE(finger_count(grip), 2);
    EXPECT_LE(finger_count(grip), 4);
  }
  EXPECT_EQ(names.size(), kGrips.size());
  EXPECT_EQ(finger_count(Grip::kThreeFingerHalfCrimp), 3);
  EXPECT_EQ(finger_count(Grip::kTwoFingerOpen), 2);
  EXPECT_FALSE(grip_from_name("claw").has_value());
}

TEST(Units, ConvertBothWays) {
  EXPECT_DOUBLE_EQ(rad_from_deg(180.0), kPi);
  EXPECT_DOUBLE_EQ(deg_from_rad(rad_from_deg(35.0)), 35.0);
  EXPECT_DOUBLE_EQ(m_from_mm(250.0), 0.25);
  EXPECT_DOUBLE_EQ(mm_from_m(0.25), 250.0);
}

TEST(Pose, ComposesAndInverts) {
  RandomStream random(41);
  const auto draw = [&random] { return Vec3(random.normal(), random.normal(), random.normal()); };
  for (int i = 0; i < 1000; ++i) {
    const Pose X_AB{rotation_by(draw()), draw()};
    const Pose X_BC{rotation_by(draw()), draw()};
    const Vec3 p_CQ = draw();
    EXPECT_TRUE(is_near((X_AB * X_BC) * p_CQ, X_AB * (X_BC * p_CQ), 1e-12));
    EXPECT_TRUE(is_near(X_AB.inverse() * (X_AB * p_CQ), p_CQ, 1e-12));
  }
}

TEST(Skew, IsTheCrossProduct) {
  const Vec3 a(1.0, -2.0, 0.5);
  const Vec3 b(0.3, 4.0, -1.0);
  EXPECT_TRUE(is_near(skew(a) * b, a.cross(b), 1e-15));
}

}  // namespace
}  // namespace steepwright
