// Finger strength as climber files write it.

#include "engine/io/climber_file.h"

#include "engine/core/constants.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace steepwright::io {
namespace {

using testing::HasSubstr;
using testing::Not;

move::Climber climber_with(const std::string& fingers) {
  const auto loaded = parse_climber(
      "steepwright_climber = 1\nsex = \"male\"\nstature_mm = 1800\nmass_kg = 75\n[fingers]\n" + fingers, "me.toml");
  EXPECT_TRUE(loaded) << to_text(loaded.error().front());
  return loaded ? loaded->climber : move::Climber();
}

double force_with(const std::string& fingers) { return climber_with(fingers).fingers.edge_force_N; }

TEST(ClimberFingers, AreTheSameForceInEveryWayOfWritingAHang) {
  EXPECT_DOUBLE_EQ(force_with("edge_load_kg = 50"), 50.0 * kGravity);
  EXPECT_DOUBLE_EQ(force_with("added_load_kg = -25"), 50.0 * kGravity);
  EXPECT_DOUBLE_EQ(force_with("added_load_kg = 25\nhang_hands = 2"), 50.0 * kGravity);
  EXPECT_DOUBLE_EQ(force_with("edge_load_kg = 100\nhang_hands = 2"), 50.0 * kGravity);
  EXPECT_DOUBLE_EQ(force_with("edge_force_N = 800\nhang_hands = 2"), 400.0);
}

TEST(ClimberFingers, AreOnTheReferenceEdgeUnlessTheFileSaysOtherwise) {
  const grip::FingerStrength usual = climber_with("edge_load_kg = 50").fingers;
  EXPECT_EQ(usual.edge_depth_m, 0.020);
  EXPECT_EQ(usual.edge_grip, Grip::kHalfCrimp);
  EXPECT_TRUE(usual.is_measured);
  const move::Climber own = climber_with(
      "edge_load_kg = 50\nedge_depth_mm = 14\nedge_grip = \"open hand\"\nmiddle_finger_mm = 81\n"
      "finger_breadth_mm = 17.5");
  EXPECT_EQ(own.fingers.edge_depth_m, 0.014);
  EXPECT_EQ(own.fingers.edge_grip, Grip::kOpenHand);
  EXPECT_EQ(own.middle_finger_m, 0.081);
  EXPECT_EQ(own.finger_breadth_m, 0.0175);
}

TEST(ClimberFingers, ReadBackEqualFromWhatIsWritten) {
  for (const char* fingers :
       {"ability = \"elite\"", "edge_load_kg = 2\nhang_hands = 2", "edge_load_kg = 50\nis_measured = false",
        "added_load_kg = 17.3\nhang_hands = 2\nedge_depth_mm = 14\nedge_grip = \"full crimp\"",
        "ability = \"advanced\"\nmiddle_finger_mm = 81\nfinger_breadth_mm = 17.3"}) {
    SCOPED_TRACE(fingers);
    const move::Climber a = climber_with(fingers);
    const auto again = parse_climber(write_climber(a), "written.toml");
    ASSERT_TRUE(again) << to_text(again.error().front());
    const move::Climber& b = again->climber;
    EXPECT_EQ(a.fingers.edge_force_N, b.fingers.edge_force_N);
    EXPECT_EQ(a.fingers.edge_depth_m, b.fingers.edge_depth_m);
    EXPECT_EQ(a.fingers.edge_grip, b.fingers.edge_grip);
    EXPECT_EQ(a.fingers.is_measured, b.fingers.is_measured);
    EXPECT_EQ(a.middle_finger_m, b.middle_finger_m);
    EXPECT_EQ(a.finger_breadth_m, b.finger_breadth_m);
  }
}

TEST(ClimberFingers, AreWrittenAsAnAbilityOnlyOnTheReferenceEdge) {
  move::Climber climber = climber_with("ability = \"elite\"");
  EXPECT_THAT(write_climber(climber), HasSubstr("ability = \"elite\""));
  climber.fingers.edge_depth_m = 0.015;
  EXPECT_THAT(write_climber(climber), Not(HasSubstr("ability")));
}

}  // namespace
}  // namespace steepwright::io
