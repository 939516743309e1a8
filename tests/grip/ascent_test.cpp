#include "engine/grip/ascent.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>

namespace steepwright::grip {
namespace {

using Point = Ascent<4>::Point;
using Place = Ascent<4>::Place;

Place look_at_hill(const Point& p) {
  const Point top(0.3, -1.2, 2.0, 0.7);
  return {p, 10.0 - (p - top).squaredNorm(), -2.0 * (p - top)};
}

/// The least of eight planes: its top is a corner where five of them meet, 20 above nothing.
Place look_at_roof(const Point& p) {
  static const std::array<Point, 8> kSlopes = {Point(3, 1, 0, 0),  Point(-2, 1, 1, 0),  Point(0, -4, 0, 1),
                                               Point(0, 1, -3, 0), Point(-1, 1, 1, -1), Point(9, 0, 0, 0),
                                               Point(0, 0, 9, 1),  Point(0, 0, 0, -7)};
  const Point top(0.4, -0.7, 1.1, 0.2);
  Place place{p, 1e9, Point::Zero()};
  for (std::size_t i = 0; i < kSlopes.size(); ++i) {
    const double worth = 20.0 + (i < 5 ? 0.0 : 1.0) + kSlopes[i].dot(p - top);
    if (worth < place.worth) place = {p, worth, kSlopes[i]};
  }
  return place;
}

/// A ridge that rises along itself and dents between two knolls: not concave.
Place look_at_knolls(const Point& p) {
  const double off = p[0] - p[1];
  const double knolls = std::sin(2.0 * p[2]);
  Place place{p, 30.0 - 6.0 * std::abs(off) + knolls - 0.5 * p[3] * p[3], Point::Zero()};
  place.slope = {off > 0.0 ? -6.0 : 6.0, off > 0.0 ? 6.0 : -6.0, 2.0 * std::cos(2.0 * p[2]), -p[3]};
  return place;
}

TEST(Ascent, ClimbsAHillToItsTop) {
  Ascent<4> climb;
  climb.start(look_at_hill(Point::Zero()), 1.0);
  climb.climb(60, 1e-9, look_at_hill);
  EXPECT_NEAR(climb.best_worth(), 10.0, 1e-6);
}

TEST(Ascent, FindsTheCornerOfARoofInFewLooks) {
  int n_looks = 0;
  const auto look = [&](const Point& p) {
    ++n_looks;
    return look_at_roof(p);
  };
  Ascent<4> climb;
  climb.start(look(Point(2.0, 2.0, -1.0, 1.5)), 1.0);
  climb.climb(60, 1e-4, look);
  EXPECT_NEAR(climb.best_worth(), 20.0, 0.01);
  EXPECT_LT(n_looks, 40) << "a simplex needs some hundred";
}

TEST(Ascent, PassesADentByBeginningAgain) {
  Ascent<4> climb;
  climb.start(look_at_knolls(Point(1.0, -0.5, -1.3, 2.0)), 1.0);
  for (int i = 0; i < 4; ++i) {
    climb.climb(25, 1e-5, look_at_knolls);
    climb.start_again(1.0);
  }
  EXPECT_NEAR(climb.best_worth(), 31.0, 0.05);
}

TEST(Ascent, NeverLosesTheBestPointAndKeepsToItsBudget) {
  int n_looks = 0;
  const auto look = [&](const Point& p) {
    ++n_looks;
    return look_at_knolls(p);
  };
  Ascent<4> climb;
  climb.start(look_at_knolls(Point(1.0, -0.5, -1.3, 2.0)), 1.0);
  double best = climb.best_worth();
  for (int i = 0; i < 10; ++i) {
    n_looks = 0;
    climb.climb(3, 0.0, look);
    EXPECT_LE(n_looks, 3);
    EXPECT_GE(climb.best_worth(), best);
    best = climb.best_worth();
  }
  EXPECT_EQ(look_at_knolls(climb.best()).worth, best);
}

TEST(Ascent, StaysWhereNothingRises) {
  Ascent<4> climb;
  const auto flat = [](const Point& p) { return Place{p, 5.0, Point::Zero()}; };
  climb.start(flat(Point::Ones()), 1.0);
  climb.climb(10, 1e-6, [&](const Point& p) {
    ADD_FAILURE() << "looked";
    return flat(p);
  });
  EXPECT_EQ(climb.best(), Point::Ones());
}

}  // namespace
}  // namespace steepwright::grip
