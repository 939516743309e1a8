#include "engine/core/capacity_set.h"

#include "engine/core/random.h"
#include "engine/core/units.h"
#include "tests/support/malloc_guard.h"
#include "tests/support/matchers.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace steepwright {
namespace {

using tests::is_near;

constexpr int kDrawCount = 100000;

CapacitySet make_set(double mu) {
  CapacitySet set;
  set.normal = Vec3(0.0, -0.6, 0.8);
  set.mu = mu;
  return set;
}

Vec3 draw_direction(RandomStream& random) {
  return Vec3(random.normal(), random.normal(), random.normal()).normalized();
}

/// By the definition of K, not by angles.
bool is_in_cone(const CapacitySet& set, const Vec3& f) {
  const double f_n = f.dot(set.normal);
  bool is_inside = (f - f_n * set.normal).norm() <= set.mu * f_n;
  for (const Vec3& c : set.cone_faces) is_inside &= c.dot(f) <= 0.0;
  return is_inside;
}

TEST(SlipMargin, HasTheSignOfTheDefinition) {
  CapacitySet set = make_set(0.7);
  set.cone_faces.push_back(Vec3(1.0, 0.2, 0.1).normalized());
  RandomStream random(31);
  for (int i = 0; i < kDrawCount; ++i) {
    const Vec3 f = 100.0 * draw_direction(random);
    const double margin = find_slip_margin(set, f);
    if (std::abs(margin) < 1e-9) continue;
    ASSERT_EQ(margin > 0.0, is_in_cone(set, f)) << f.transpose();
  }
}

TEST(SlipMargin, AlongTheNormalIsTheFrictionAngle) {
  // Friction angles (arctangents): 0.46: 24.7, 0.53: 27.9, 0.6: 31.0, 0.84: 40.0, 0.96: 43.8 deg.
  const double table[][2] = {{0.46, 24.7}, {0.53, 27.9}, {0.6, 31.0}, {0.84, 40.0}, {0.96, 43.8}};
  for (const auto& [mu, angle_deg] : table) {
    const CapacitySet set = make_set(mu);
    EXPECT_NEAR(deg_from_rad(find_slip_margin(set, 250.0 * set.normal)), angle_deg, 0.05);
  }
}

TEST(SlipMargin, IsTheAngleToAFaceWhenThatIsNearer) {
  CapacitySet set = make_set(1.0);
  set.cone_faces.push_back(Vec3(1.0, 0.0, 0.0));
  const Vec3 f = std::cos(0.1) * set.normal - std::sin(0.1) * Vec3::UnitX();
  EXPECT_NEAR(find_slip_margin(set, f), 0.1, 1e-12);
  EXPECT_EQ(find_slip_margin(set, Vec3::Zero()), 0.0);
}

TEST(MuUsed, IsTangentialOverNormal) {
  const CapacitySet set = make_set(0.5);
  EXPECT_NEAR(find_mu_used(set, 200.0 * set.normal + 60.0 * Vec3::UnitX()), 0.3, 1e-12);
  EXPECT_EQ(find_mu_used(set, Vec3::Zero()), 0.0);
  EXPECT_EQ(find_mu_used(set, -set.normal), std::numeric_limits<double>::infinity());
}

TEST(CapacityUse, IsTheLargestShareOfABound) {
  CapacitySet set = make_set(0.5);
  EXPECT_EQ(find_capacity_use(set, Vec3(1, 2, 3)), 0.0) << "no bound, no use";
  set.bounds.push_back({Vec3::UnitZ(), 200.0});
  set.bounds.push_back({Vec3::UnitX(), 50.0});
  EXPECT_DOUBLE_EQ(find_capacity_use(set, Vec3(10, 0, 100)), 0.5);
  EXPECT_DOUBLE_EQ(find_capacity_use(set, Vec3(40, 0, 100)), 0.8);
  EXPECT_DOUBLE_EQ(find_capacity_use(set, Vec3(-40, 0, -100)), 0.0) << "never negative";
}

TEST(CapacitySet, TurnsAsAWhole) {
  CapacitySet set = make_set(0.6);
  set.cone_faces.push_back(Vec3::UnitX());
  set.bounds.push_back({Vec3::UnitZ(), 120.0});
  RandomStream random(32);
  for (int i = 0; i < 1000; ++i) {
    const Mat3 R = rotation_by(3.0 * draw_direction(random));
    const CapacitySet turned = set.rotated(R);
    const Vec3 f = 80.0 * draw_direction(random);
    EXPECT_NEAR(find_capacity_use(turned, R * f), find_capacity_use(set, f), 1e-12);
    EXPECT_NEAR(find_slip_margin(turned, R * f), find_slip_margin(set, f), 1e-6);
  }
}

TEST(ConeGenerators, AreUnitAndCircumscribeTheCone) {
  const CapacitySet set = make_set(0.7);
  const auto generators = make_cone_generators(set);
  ASSERT_EQ(generators.size(), kConeGeneratorCount);
  for (const Vec3& g : generators) {
    EXPECT_NEAR(g.norm(), 1.0, 1e-12);
    EXPECT_NEAR(find_mu_used(set, g), 0.7 / std::cos(kPi / 32.0), 1e-12) << "0.5 % outside";
  }
  // The middle of two neighbours touches the cone: no force of K is left out.
  for (std::size_t i = 0; i < generators.size(); ++i) {
    const Vec3 middle = generators[i] + generators[(i + 1) % generators.size()];
    EXPECT_NEAR(find_mu_used(set, middle), 0.7, 1e-12);
  }
}

TEST(ConeGenerators, CutByFacesSpanExactlyTheForcesOfBoth) {
  CapacitySet set = make_set(0.8);
  set.cone_faces.push_back(Vec3(1.0, 0.1, -0.2).normalized());
  set.cone_faces.push_back(Vec3(-0.3, 1.0, 0.4).normalized());
  const auto generators = make_cone_generators(set);
  ASSERT_GE(generators.size(), 3U);
  for (const Vec3& g : generators) {
    for (const Vec3& c : set.cone_faces) EXPECT_LE(c.dot(g), 1e-12);
  }
  // Every force of K lies inside every plane through two neighbours: it is in the generators' conic hull.
  Vec3 middle = Vec3::Zero();
  for (const Vec3& g : generators) middle += g;
  RandomStream random(33);
  for (int i = 0; i < kDrawCount; ++i) {
    const Vec3 f = draw_direction(random);
    if (!is_in_cone(set, f)) continue;
    for (std::size_t k = 0; k < generators.size(); ++k) {
      Vec3 plane = generators[k].cross(generators[(k + 1) % generators.size()]);
      if (plane.dot(middle) < 0.0) plane = -plane;
      ASSERT_GE(plane.dot(f), -1e-12);
    }
  }
}

TEST(ConeGenerators, AreNoneWhenTheFacesShutTheWholeCone) {
  CapacitySet set = make_set(0.5);
  set.cone_faces.push_back(set.normal);
  EXPECT_TRUE(make_cone_generators(set).empty());
}

TEST(CapacitySet, QuestionsDoNotAllocate) {
  CapacitySet set = make_set(0.5);
  set.cone_faces.push_back(Vec3::UnitX());
  set.bounds.push_back({Vec3::UnitZ(), 120.0});
  const std::size_t before = tests::allocation_count();
  const double sum = find_capacity_use(set, Vec3::Ones()) + find_slip_margin(set, Vec3::Ones()) +
                     find_mu_used(set, Vec3::Ones()) + static_cast<double>(make_cone_generators(set).size());
  EXPECT_EQ(tests::allocation_count(), before);
  EXPECT_TRUE(std::isfinite(sum));
}

}  // namespace
}  // namespace steepwright
