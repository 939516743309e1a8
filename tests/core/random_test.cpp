#include "engine/core/random.h"

#include <gtest/gtest.h>

#include <cmath>

namespace steepwright {
namespace {

TEST(RandomStream, DrawsThePublishedSplitmix64Sequence) {
  // Vigna's splitmix64.c, seed 1234567: the values that implementations compare themselves with (from memory).
  RandomStream random(1234567);
  EXPECT_EQ(random.next(), 6457827717110365317ULL);
  EXPECT_EQ(random.next(), 3203168211198807973ULL);
  EXPECT_EQ(random.next(), 9817491932198370423ULL);
  EXPECT_EQ(random.next(), 4593380528125082431ULL);
  EXPECT_EQ(random.next(), 16408922859458223821ULL);
}

TEST(RandomStream, RepeatsForASeedAndDiffersForAnother) {
  RandomStream a(5);
  RandomStream b(5);
  RandomStream c(6);
  for (int i = 0; i < 100; ++i) {
    const double draw = a.uniform();
    EXPECT_EQ(draw, b.uniform());
    EXPECT_NE(draw, c.uniform());
  }
}

TEST(RandomStream, StaysInItsRanges) {
  RandomStream random(7);
  for (int i = 0; i < 100000; ++i) {
    const double unit = random.uniform();
    ASSERT_GE(unit, 0.0);
    ASSERT_LT(unit, 1.0);
    const double between = random.uniform(-3.0, 5.0);
    ASSERT_GE(between, -3.0);
    ASSERT_LT(between, 5.0);
    ASSERT_LE(std::abs(random.symmetric(2.0)), 2.0);
  }
}

TEST(RandomStream, HasTheMomentsOfItsDistributions) {
  constexpr int kCount = 100000;
  // Standard errors at 1e5 draws: mean 0.0009 (uniform), 0.0032 (normal), variance 0.0045 (normal); five of each.
  RandomStream random(8);
  double uniform_sum = 0.0;
  double normal_sum = 0.0;
  double normal_squares = 0.0;
  for (int i = 0; i < kCount; ++i) {
    uniform_sum += random.uniform();
    const double draw = random.normal();
    normal_sum += draw;
    normal_squares += draw * draw;
  }
  EXPECT_NEAR(uniform_sum / kCount, 0.5, 0.0046);
  EXPECT_NEAR(normal_sum / kCount, 0.0, 0.016);
  EXPECT_NEAR(normal_squares / kCount, 1.0, 0.0225);
}

}  // namespace
}  // namespace steepwright
