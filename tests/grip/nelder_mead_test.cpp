#include "engine/grip/nelder_mead.h"

#include <gtest/gtest.h>

#include <cmath>

namespace steepwright::grip {
namespace {

using Point = NelderMead<4>::Point;

std::array<Point, 4> unit_steps() { return {Point::Unit(0), Point::Unit(1), Point::Unit(2), Point::Unit(3)}; }

TEST(NelderMead, ClimbsAHillToItsTop) {
  const Point top(0.3, -1.2, 2.0, 0.7);
  const auto hill = [&](const Point& p, double /*least*/ = 0.0) { return 10.0 - (p - top).squaredNorm(); };
  NelderMead<4> simplex;
  simplex.start(Point::Zero(), hill(Point::Zero()), unit_steps(), true, hill);
  simplex.climb(400, 1e-10, hill);
  EXPECT_LT((simplex.best() - top).norm(), 1e-3);
  EXPECT_NEAR(simplex.best_worth(), 10.0, 1e-6);
}

TEST(NelderMead, TakesTheSameWayWhenWhatIsNoBetterIsNotFoundExactly) {
  const Point top(0.3, -1.2, 2.0, 0.7);
  const auto hill = [&](const Point& p, double /*least*/ = 0.0) { return 10.0 - (p - top).squaredNorm(); };
  const auto lazy = [&](const Point& p, double least) { return hill(p) > least ? hill(p) : least - 1.0; };
  NelderMead<4> exact;
  NelderMead<4> bounded;
  exact.start(Point::Zero(), hill(Point::Zero()), unit_steps(), true, hill);
  bounded.start(Point::Zero(), hill(Point::Zero()), unit_steps(), true, lazy);
  for (int i = 0; i < 20; ++i) {
    exact.climb(5, 0.0, hill);
    bounded.climb(5, 0.0, lazy);
    ASSERT_EQ(exact.best(), bounded.best()) << i;
  }
}

TEST(NelderMead, NeverLosesTheBestPointAndKeepsToItsBudget) {
  // A ridge: steep on both sides, and a slow rise along it.
  int n_calls = 0;
  const auto ridge = [&](const Point& p, double /*least*/ = 0.0) {
    ++n_calls;
    return 5.0 - 3.0 * std::abs(p[0] - p[1]) - std::abs(p[0] + p[1] - 4.0) - std::abs(p[2]) - std::abs(p[3]);
  };
  NelderMead<4> simplex;
  simplex.start(Point::Zero(), ridge(Point::Zero()), unit_steps(), false, ridge);
  double best = -1e9;
  for (int i = 0; i < 20; ++i) {
    n_calls = 0;
    simplex.climb(10, 0.0, ridge);
    EXPECT_LE(n_calls, 10 + 5) << "the step that it is in is ended";
    EXPECT_GE(simplex.best_worth(), best);
    best = simplex.best_worth();
  }
  EXPECT_GT(best, ridge(Point::Zero()));
}

}  // namespace
}  // namespace steepwright::grip
