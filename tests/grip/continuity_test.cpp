// What a hand holds changes smoothly with the shape, the pull and the forearm: a person who sands a lip by a quarter
// of a millimetre must not see the answer jump.

#include "tests/grip/sweeps.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <ostream>
#include <string>

namespace steepwright::tests {
namespace {

/// Most change of force in one step, share of the larger one.
constexpr double kMostJump = 0.05;
/// Where the pull leaves the friction cone the set ends and with it the force: steps nearer to the border are left out.
constexpr double kBorder = rad_from_deg(1.0);
constexpr std::array<double, 3> kPulls_deg = {0.0, 10.0, 20.0};

constexpr std::array<EdgeShape, 3> kBases = {{
    {"short edge", 12.0, 0.0, 2.0, 0.0},
    {"deep incut edge", 35.0, 12.0, 6.0, 0.0},
    {"rounded sloping rail", 25.0, -5.0, 10.0, 30.0},
}};

const grip::Hand& sweep_hand() {
  static const grip::Hand hand = make_sweep_hand();
  return hand;
}

/// Angle of the pull from the border of the set's directions; negative outside. rad.
double find_margin(const CapacitySet& set, double pull) {
  return find_slip_margin(set, Vec3(0.0, std::sin(pull), std::cos(pull)));
}

double find_jump(double a_N, double b_N) {
  const double larger_N = std::max(a_N, b_N);
  return larger_N > 0.0 ? std::abs(a_N - b_N) / larger_N : 0.0;
}

struct Case {
  EdgeShape base;
  Grip grip = Grip::kOpenHand;
};

std::ostream& operator<<(std::ostream& out, const Case& tried) {
  return out << name_of(tried.grip) << " on a " << tried.base.name;
}

class Continuity : public testing::TestWithParam<Case> {
 protected:
  void expect_smooth(const SweepRange& range) const {
    const auto [base, grip] = GetParam();
    grip::FingerSearch search;
    const auto points = make_sweep(range, base, grip, sweep_hand(), search);
    for (const double pull_deg : kPulls_deg) {
      const double pull = rad_from_deg(pull_deg);
      int n_compared = 0;
      for (std::size_t i = 1; i < points.size(); ++i) {
        const CapacitySet& before = points[i - 1].set;
        const CapacitySet& after = points[i].set;
        if (std::min(find_margin(before, pull), find_margin(after, pull)) < kBorder) continue;
        ++n_compared;
        const double before_N = grip::find_capacity_along(before, pull);
        const double after_N = grip::find_capacity_along(after, pull);
        EXPECT_LE(find_jump(before_N, after_N), kMostJump)
            << fmt::format("{}, {}, pull {} deg, {} {} to {} {}: {:.1f} to {:.1f} N", name_of(grip), base.name,
                           pull_deg, range.name, points[i - 1].at, points[i].at, range.unit, before_N, after_N);
      }
      EXPECT_GT(n_compared, 10) << pull_deg;
    }
  }
};

TEST_P(Continuity, OfForceWithDepth) { expect_smooth(kSweepRanges[0]); }
TEST_P(Continuity, OfForceWithIncut) { expect_smooth(kSweepRanges[1]); }
TEST_P(Continuity, OfForceWithLipRadius) { expect_smooth(kSweepRanges[2]); }
TEST_P(Continuity, OfForceWithForearmSwing) { expect_smooth(kSweepRanges[3]); }

void expect_smooth_pulls(const Case& tried, int from_deg, int to_deg, int least_compared) {
  const auto& [base, grip] = tried;
  grip::FingerSearch search;
  const hold::Site site = make_edge_site(base);
  const CapacitySet set = grip::make_hand_capacity({&site, grip, &sweep_hand(), rad_from_deg(base.swing_deg)}, search);
  int n_compared = 0;
  for (int pull_deg = from_deg; pull_deg < to_deg; ++pull_deg) {
    const double before = rad_from_deg(pull_deg);
    const double after = rad_from_deg(pull_deg + 1);
    if (std::min(find_margin(set, before), find_margin(set, after)) < kBorder) continue;
    ++n_compared;
    const double before_N = grip::find_capacity_along(set, before);
    const double after_N = grip::find_capacity_along(set, after);
    EXPECT_LE(find_jump(before_N, after_N), kMostJump)
        << fmt::format("{}, {}, pull {} to {} deg: {:.1f} to {:.1f} N", name_of(grip), base.name, pull_deg,
                       pull_deg + 1, before_N, after_N);
  }
  EXPECT_GT(n_compared, least_compared) << "about the friction angle";
}

TEST_P(Continuity, OfForceWithOutwardPull) { expect_smooth_pulls(GetParam(), 0, 60, 25); }
TEST_P(Continuity, OfForceWithInwardPull) { expect_smooth_pulls(GetParam(), -60, 0, 25); }

/// A wrapped hand's three bones bear at once, and the search does not find the best of them every time: few steps are
/// larger than those of the other grips, none by much.
TEST(WrappedHand, HoldsMoreOnADeeperEdgeInFewLargerSteps) {
  constexpr double kWorstJump = 0.12;
  constexpr double kMostLargeSteps = 0.04;
  grip::FingerSearch search;
  const auto points = make_sweep(kSweepRanges[0], kBases[1], Grip::kJug, sweep_hand(), search);
  int n_compared = 0;
  int n_large = 0;
  for (const double pull_deg : kPulls_deg) {
    const double pull = rad_from_deg(pull_deg);
    for (std::size_t i = 1; i < points.size(); ++i) {
      if (std::min(find_margin(points[i - 1].set, pull), find_margin(points[i].set, pull)) < kBorder) continue;
      ++n_compared;
      const double jump =
          find_jump(grip::find_capacity_along(points[i - 1].set, pull), grip::find_capacity_along(points[i].set, pull));
      n_large += jump > kMostJump ? 1 : 0;
      EXPECT_LE(jump, kWorstJump) << points[i].at << " mm, pull " << pull_deg << " deg";
    }
  }
  EXPECT_GT(n_compared, 400);
  EXPECT_LE(n_large, kMostLargeSteps * n_compared);
}

std::vector<Case> make_cases() {
  std::vector<Case> cases;
  for (const EdgeShape& base : kBases) {
    for (const Grip grip : kSweptGrips) cases.push_back({base, grip});
  }
  return cases;
}

std::string name_case(const testing::TestParamInfo<Case>& info) {
  std::string name = fmt::format("{} on a {}", name_of(info.param.grip), info.param.base.name);
  std::replace(name.begin(), name.end(), ' ', '_');
  return name;
}

INSTANTIATE_TEST_SUITE_P(Edges, Continuity, testing::ValuesIn(make_cases()), name_case);

}  // namespace
}  // namespace steepwright::tests
