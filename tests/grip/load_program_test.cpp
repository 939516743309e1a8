#include "engine/grip/load_program.h"

#include "engine/core/random.h"
#include "tests/grip/finger_cases.h"
#include "tests/grip/sweeps.h"
#include "tests/support/malloc_guard.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace steepwright::grip {
namespace {

/// Rounding of a few hundred terms of the size of the value.
constexpr double kRelative = 1e-9;
constexpr int kDraws = 2000;

using Row = LoadProgram::Row;

/// A program with its columns as they were given.
struct DrawnGroup {
  double limit = 0.0;
  std::vector<std::size_t> columns;
};

struct Draw {
  double zero_limits = 0.0;  ///< share of groups that can carry nothing
  double grid = 0.0;         ///< entries and gains are multiples of this: many ties; 0: no grid
};

class Drawn {
 public:
  Drawn(RandomStream& random, const Draw& draw) : random_(random), draw_(draw) {
    program.clear();
    const int n_groups = 4 + static_cast<int>(random.uniform(0.0, 32.0));
    for (int g = 0; g < n_groups; ++g) {
      const double limit = random.uniform() < draw.zero_limits ? 0.0 : value(0.0, 100.0, 100.0);
      program.add_group(limit);
      DrawnGroup group{limit, {}};
      const int n_columns = random.uniform() < 0.7 ? 2 : 1;
      for (int k = 0; k < n_columns; ++k) {
        Row row;
        for (int i = 0; i < LoadProgram::kRows; ++i) row[i] = value(-5.0, 5.0, 5.0);
        group.columns.push_back(program.add_column(row));
      }
      groups.push_back(group);
    }
    change_gains();
  }
  void change_gains() {
    for (const DrawnGroup& group : groups) {
      for (const std::size_t column : group.columns) program.set_gain(column, value(-0.5, 1.0, 1.0));
    }
  }

  LoadProgram program;
  std::vector<DrawnGroup> groups;

 private:
  double value(double lower, double upper, double size) {
    const double drawn = random_.uniform(lower, upper);
    return draw_.grid > 0.0 ? std::max(lower, std::round(drawn / (draw_.grid * size)) * draw_.grid * size) : drawn;
  }
  RandomStream& random_;
  Draw draw_;
};

double find_scale(const Drawn& drawn) {
  double sum = 1.0;
  for (const DrawnGroup& group : drawn.groups) sum += group.limit;
  return sum;
}

/// x >= 0, groups within their limits, rows in balance.
void expect_feasible(const Drawn& drawn) {
  const double scale = find_scale(drawn);
  Row balance = Row::Zero();
  double value = 0.0;
  for (const DrawnGroup& group : drawn.groups) {
    double sum = 0.0;
    for (const std::size_t column : group.columns) {
      const double x = drawn.program.x(column);
      EXPECT_GE(x, 0.0);
      sum += x;
      balance += x * drawn.program.row(column);
      value += x * drawn.program.gain(column);
    }
    EXPECT_LE(sum, group.limit + kRelative * scale);
  }
  EXPECT_LE(balance.cwiseAbs().maxCoeff(), 5.0 * kRelative * scale);
  EXPECT_NEAR(drawn.program.value(), value, kRelative * scale);
}

/// No feasible x is worth more than the bound of any prices: equality proves the optimum.
void expect_optimal(const Drawn& drawn) {
  const double value = drawn.program.value();
  const double bound = drawn.program.find_bound(drawn.program.prices());
  EXPECT_NEAR(value, bound, kRelative * std::max(1.0, std::abs(bound)));
  EXPECT_GE(value, 0.0) << "x = 0 is feasible";
}

void solve_draws(std::uint64_t seed, const Draw& draw) {
  RandomStream random(seed);
  int n_positive = 0;
  for (int i = 0; i < kDraws; ++i) {
    SCOPED_TRACE(i);
    Drawn drawn(random, draw);
    ASSERT_EQ(drawn.program.solve(), LoadProgram::Status::kOptimal);
    expect_feasible(drawn);
    expect_optimal(drawn);
    n_positive += drawn.program.value() > 0.0 ? 1 : 0;
    if (testing::Test::HasFailure()) return;
  }
  EXPECT_GT(n_positive, kDraws / 2);
}

TEST(LoadProgram, ProvesItsOptimumByItsPrices) { solve_draws(102, {}); }

TEST(LoadProgram, SolvesProgramsWhereManyGroupsCarryNothing) { solve_draws(104, {0.5, 0.0}); }

TEST(LoadProgram, SolvesProgramsFullOfTies) {
  solve_draws(106, {0.2, 0.2});
  solve_draws(108, {0.2, 1.0});
}

TEST(LoadProgram, IsWorthNothingWithoutLimitsOrGains) {
  RandomStream random(109);
  Drawn empty_handed(random, {1.0, 0.0});
  EXPECT_EQ(empty_handed.program.solve(), LoadProgram::Status::kOptimal);
  EXPECT_EQ(empty_handed.program.value(), 0.0);
  Drawn unpaid(random, {});
  for (const DrawnGroup& group : unpaid.groups) {
    for (const std::size_t column : group.columns) unpaid.program.set_gain(column, 0.0);
  }
  EXPECT_EQ(unpaid.program.solve(), LoadProgram::Status::kOptimal);
  EXPECT_EQ(unpaid.program.value(), 0.0);
  EXPECT_EQ(unpaid.program.steps(), 0) << "x = 0 is where it starts and already the best";
}

TEST(LoadProgram, StaysAtNothingWhenNoColumnCanBeBalanced) {
  // All rows push one way: only x = 0 is in balance, whatever the gains.
  LoadProgram program;
  program.clear();
  for (int g = 0; g < 20; ++g) {
    program.add_group(10.0);
    for (int k = 0; k < 2; ++k) {
      program.set_gain(program.add_column({1.0 + g, 1.0, k == 0 ? 0.0 : 2.0, 0.0}), 1.0 + 0.1 * g);
    }
  }
  EXPECT_EQ(program.solve(), LoadProgram::Status::kOptimal);
  EXPECT_EQ(program.value(), 0.0);
  EXPECT_NEAR(program.find_bound(program.prices()), 0.0, kRelative);
}

TEST(LoadProgram, OfTwoColumnsIsTheScaleBeam) {
  // max x with 2 x = 5 y, x <= 100, y <= 10: y limits, x = 25.
  LoadProgram program;
  program.clear();
  program.add_group(100.0);
  const std::size_t x = program.add_column({2.0, 0.0, 0.0, 0.0});
  program.add_group(10.0);
  const std::size_t y = program.add_column({-5.0, 0.0, 0.0, 0.0});
  program.set_gain(x, 1.0);
  ASSERT_EQ(program.solve(), LoadProgram::Status::kOptimal);
  EXPECT_NEAR(program.value(), 25.0, 1e-12);
  EXPECT_NEAR(program.x(y), 10.0, 1e-12);
  // One newton of y more is worth 2.5 of x: a row's price is what a unit of imbalance would bring.
  EXPECT_NEAR(program.prices()[0] * 5.0, 2.5, 1e-12);
}

TEST(LoadProgram, AfterAChangeOfGainsEqualsAColdSolve) {
  RandomStream random(110);
  for (int i = 0; i < 300; ++i) {
    SCOPED_TRACE(i);
    Drawn drawn(random, {0.1, i % 2 == 0 ? 0.0 : 0.2});
    (void)drawn.program.solve();
    for (int change = 0; change < 10; ++change) {
      drawn.change_gains();
      LoadProgram cold = drawn.program;
      cold.reset_basis();
      ASSERT_EQ(drawn.program.solve(), LoadProgram::Status::kOptimal);
      ASSERT_EQ(cold.solve(), LoadProgram::Status::kOptimal);
      ASSERT_NEAR(drawn.program.value(), cold.value(), kRelative * find_scale(drawn));
      expect_feasible(drawn);
      expect_optimal(drawn);
      if (HasFailure()) return;
    }
  }
}

void solve_from_neighbours(std::uint64_t seed, const Draw& draw) {
  RandomStream random(seed);
  for (int i = 0; i < 300; ++i) {
    SCOPED_TRACE(i);
    Drawn drawn(random, draw);
    auto ties = drawn.program.ties();  // none yet
    for (int change = 0; change < 10; ++change) {
      // Gains and one row change as from one posture to the next; the ties are those of the neighbour.
      drawn.change_gains();
      for (const DrawnGroup& group : drawn.groups) {
        for (const std::size_t column : group.columns) {
          drawn.program.set_entry(column, 1, drawn.program.row(column)[1] + random.uniform(-0.3, 0.3));
        }
      }
      drawn.program.reset_basis();
      LoadProgram cold = drawn.program;
      ASSERT_EQ(cold.solve(), LoadProgram::Status::kOptimal);
      if (change % 3 == 2 && !ties.empty()) ties.pop_back();  // a pad that no longer touches
      ASSERT_EQ(drawn.program.solve_from(ties), LoadProgram::Status::kOptimal);
      ASSERT_NEAR(drawn.program.value(), cold.value(), kRelative * find_scale(drawn));
      expect_feasible(drawn);
      expect_optimal(drawn);
      if (testing::Test::HasFailure()) return;
      ties = drawn.program.ties();
    }
  }
}

TEST(LoadProgram, FromTheTiesOfANeighbourEqualsAColdSolve) {
  solve_from_neighbours(113, {0.1, 0.0});
  solve_from_neighbours(114, {0.1, 0.2});
}

TEST(LoadProgram, StopsOnceItIsKnownToBeNoBetter) {
  RandomStream random(115);
  int n_stopped = 0;
  for (int i = 0; i < kDraws; ++i) {
    Drawn drawn(random, {});
    (void)drawn.program.solve();
    const double value = drawn.program.value();
    const auto ties = drawn.program.ties();
    const double least = value * random.uniform(0.8, 1.4) + 0.01;
    drawn.program.reset_basis();
    const auto status = drawn.program.solve_from(i % 2 == 0 ? LoadProgram::Ties{} : ties, least);
    if (status == LoadProgram::Status::kNotAbove) {
      ++n_stopped;
      EXPECT_LE(value, least) << i;
      EXPECT_LE(drawn.program.value(), least) << i;
      EXPECT_GE(drawn.program.value(), value - kRelative * find_scale(drawn)) << i << ": a bound";
    } else {
      EXPECT_NEAR(drawn.program.value(), value, kRelative * find_scale(drawn)) << i;
    }
    if (HasFailure()) return;
  }
  EXPECT_GT(n_stopped, kDraws / 4);
}

TEST(LoadProgram, BoundOfAnyPricesIsNeverBelowTheOptimum) {
  RandomStream random(111);
  for (int i = 0; i < kDraws; ++i) {
    Drawn drawn(random, {});
    (void)drawn.program.solve();
    Row prices = drawn.program.prices();
    for (int k = 0; k < 4; ++k) prices[k] += random.symmetric(0.3);
    ASSERT_GE(drawn.program.find_bound(prices), drawn.program.value() - kRelative * find_scale(drawn)) << i;
  }
}

/// A whole basis at 0 whose rates reach 1e5: what rounding leaves of a rate of 0 is no pivot. One of these postures
/// ended the program.
TEST(LoadProgram, TakesNoRoundingForAPivot) {
  const Hand hand = tests::make_sweep_hand();
  const hold::Site site = tests::make_edge_site({"", 42.75, 12.0, 6.0, 0.0});
  const hold::Outline outline = hold::make_outline(site);
  const GripForm& form = find_grip_form(Grip::kJug);
  const FingerStrengthLimits limits = find_finger_limits(hand, Digit::kIndex, 4, false);
  const double mu = find_mu(site, hand);
  FingerProgram program;
  for (int pitch_deg = -10; pitch_deg <= 0; ++pitch_deg) {
    for (int dip_deg = 12; dip_deg <= 30; ++dip_deg) {
      for (int pip_deg = 55; pip_deg <= 85; ++pip_deg) {
        const FingerPosture posture{rad_from_deg(pitch_deg), rad_from_deg(dip_deg), rad_from_deg(pip_deg), 0.0055};
        const Knuckle knuckle = find_knuckle(form, posture, 0.0);
        const Seating seating = seat_finger(hand.fingers[0], outline, posture, form);
        if (seating.contacts.empty() || knuckle.fit <= 0.0) continue;
        program.build(hand.fingers[0], seating, posture, knuckle.mcp, limits, mu, knuckle.fit);
        const double value = program.solve_along(Vec2::UnitY());
        ASSERT_NEAR(value, program.program().find_bound(program.program().prices()), 1e-6 * (1.0 + value))
            << pitch_deg << " " << dip_deg << " " << pip_deg;
      }
    }
  }
}

TEST(FingerProgram, WhatOnePullProvesBoundsTheOthers) {
  FingerProgram program;
  int n_halted = 0;
  for (const tests::FingerCase& drawn : tests::draw_bearing_cases(116, 300)) {
    tests::build(drawn, program);
    const Vec2 own = pull_direction(drawn.pull);
    const double value = program.solve_along(own);
    const FingerProgram::Support solved = program.support(own);
    EXPECT_NEAR(solved.find_bound(own), value, kRelative * value);
    // A solve that ends early has proven something, too.
    const bool is_halted = program.solve_along(own, {}, 1.3 * value) == LoadProgram::Status::kNotAbove;
    const FingerProgram::Support halted = program.support(own);
    n_halted += is_halted ? 1 : 0;
    for (const double turn : {-0.4, -0.1, 0.02, 0.3}) {
      const Vec2 other = pull_direction(drawn.pull + turn);
      const double most = program.solve_along(other);
      EXPECT_GE(solved.find_bound(other), most - 1e-6) << turn;
      EXPECT_GE(halted.find_bound(other), most - 1e-6) << turn;
    }
    if (HasFailure()) return;
  }
  EXPECT_GT(n_halted, 100);
}

TEST(LoadProgram, DoesNotAllocate) {
  RandomStream random(112);
  Drawn drawn(random, {});
  const std::size_t before = tests::allocation_count();
  (void)drawn.program.solve();
  drawn.program.reset_basis();
  (void)drawn.program.solve();
  (void)drawn.program.find_bound(drawn.program.prices());
  EXPECT_EQ(tests::allocation_count(), before);
}

}  // namespace
}  // namespace steepwright::grip
