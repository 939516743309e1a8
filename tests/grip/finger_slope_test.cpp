// The slope of a finger's load over its posture against differences of the load itself.

#include "engine/grip/finger_slope.h"

#include "tests/grip/finger_cases.h"

#include <gtest/gtest.h>

#include <cmath>

namespace steepwright::tests {
namespace {

using BonePitches = Eigen::Vector4d;  // of distal, middle and proximal bone, rad; withdrawal, m

/// A finger that can be laid down in any posture and asked for its load.
class LaidFinger {
 public:
  explicit LaidFinger(RandomStream& random) {
    grip::HandMeasures measures;
    measures.hand_length_m = random.uniform(0.155, 0.215);
    hand_.fingers = grip::make_fingers(measures);
    hand_.flexor_N = random.uniform(600.0, 4000.0);
    hold::Site site;
    site.depth_m = random.uniform(0.006, 0.045);
    site.incut = random.uniform() < 0.3 ? 0.0 : rad_from_deg(random.uniform(-10.0, 25.0));
    site.lip_radius_m = random.uniform() < 0.2 ? 0.0 : random.uniform(0.0, 0.015);
    site.mouth_m = random.uniform() < 0.3 ? random.uniform(0.015, 0.040) : 0.0;
    outline_ = hold::make_outline(site);
    const auto pick = [&](std::size_t n) { return static_cast<std::size_t>(random.next() % n); };
    form_ = &grip::find_grip_form(kGrips[pick(kGrips.size())]);
    const grip::Digit digit = grip::kDigits[pick(4)];
    finger_ = &hand_.fingers[grip::index_of(digit)];
    const double pitch = form_->pitch.at(random.uniform());
    const double pip = form_->pip.at(random.uniform());
    const double dip = grip::find_dip_range(*form_, pip).at(random.uniform());
    at = {pitch, pitch + dip, pitch + dip + pip, random.uniform(0.0, std::min(0.030, site.depth_m))};
    swing_ = rad_from_deg(random.uniform(-20.0, 120.0));
    limits_ = grip::find_finger_limits(hand_, digit, 1 + static_cast<int>(pick(4)), random.uniform() < 0.3);
    mu_ = random.uniform(0.4, 0.9);
    direction_ = grip::pull_direction(random.uniform(-1.0, 1.2) * std::atan(mu_));
  }

  double find_load_N(const BonePitches& pitches) {
    posture_ = {pitches[0], pitches[1] - pitches[0], pitches[2] - pitches[1], pitches[3]};
    knuckle_ = grip::find_knuckle(*form_, posture_, swing_);
    const grip::Seating& seating = seat_.seat(*finger_, outline_, posture_, *form_);
    if (seating.contacts.empty() || seating.room <= 0.0 || knuckle_.fit <= 0.0) return 0.0;
    program_.build(*finger_, seating, posture_, knuckle_.mcp, limits_, mu_, knuckle_.fit);
    return program_.solve_along(direction_);
  }

  /// Of the last load.
  [[nodiscard]] grip::BoneSlope find_slope() const {
    return grip::find_slope({finger_, &outline_, &seat_, &program_, posture_, direction_, limits_.deep_N, knuckle_.mcp,
                             knuckle_.mcp_slope, knuckle_.fit_slope / knuckle_.fit});
  }

  BonePitches at;

 private:
  grip::Hand hand_;
  hold::Outline outline_;
  const grip::GripForm* form_ = nullptr;
  const grip::Finger* finger_ = nullptr;
  grip::FingerStrengthLimits limits_;
  double swing_ = 0.0, mu_ = 0.0;
  grip::Vec2 direction_;
  grip::FingerPosture posture_;
  grip::Knuckle knuckle_;
  grip::FingerSeat seat_;
  grip::FingerProgram program_;
};

TEST(FingerSlope, IsThatOfTheLoadInRandomPosturesOnRandomOutlines) {
  RandomStream random(5);
  int n_compared = 0;
  int n_at_kinks = 0;
  for (int drawn = 0; drawn < 2000; ++drawn) {
    LaidFinger finger(random);
    const double load_N = finger.find_load_N(finger.at);
    if (load_N < 1.0) continue;
    const grip::BoneSlope slope = finger.find_slope();
    for (int i = 0; i < 4; ++i) {
      const double step = i == 3 ? 1e-8 : 1e-7;
      const BonePitches change = step * BonePitches::Unit(i);
      const double ahead = (finger.find_load_N(finger.at + change) - load_N) / step;
      const double back = (load_N - finger.find_load_N(finger.at - change)) / step;
      const double allowed = 2e-3 * (load_N * (i == 3 ? 100.0 : 1.0) + std::abs(slope[i]));
      if (std::abs(ahead - back) > allowed) {
        ++n_at_kinks;
        continue;
      }
      ++n_compared;
      EXPECT_NEAR(slope[i], 0.5 * (ahead + back), allowed) << "draw " << drawn << ", coordinate " << i;
    }
  }
  EXPECT_GT(n_compared, 5000);
  EXPECT_LT(n_at_kinks, 100);
}

}  // namespace
}  // namespace steepwright::tests
