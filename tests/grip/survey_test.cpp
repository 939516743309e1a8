// What a survey says of a site.

#include "engine/grip/survey.h"

#include "engine/core/units.h"

#include <gtest/gtest.h>

#include <cmath>

namespace steepwright::grip {
namespace {

hold::Site edge() {
  hold::Shape shape;
  shape.width_m = 0.12;
  shape.height_m = 0.04;
  shape.protrusion_m = 0.02;
  shape.depth_m = 0.02;
  shape.lip_radius_m = 0.004;
  return hold::make_hold(shape).sites.front();
}

const Hand& hand() {
  static const Hand kHand = make_hand({}, {.edge_force_N = 450.0, .is_measured = true});
  return kHand;
}

Survey survey_edge() {
  CapacityCache hands(hand());
  return calc_survey(edge(), rad_from_deg(40.0), hands);
}

TEST(Survey, HoldsThePossibleGripsStrongestFirstWithTheirLead) {
  const Survey survey = survey_edge();
  ASSERT_GE(survey.grips.size(), 3U);
  EXPECT_NEAR(survey.forearm_swing, rad_from_deg(45.0), 1e-12) << "bins of 15 degrees";
  for (std::size_t i = 0; i + 1 < survey.grips.size(); ++i) {
    const SurveyedGrip& grip = survey.grips[i];
    ASSERT_TRUE(grip.lead);
    EXPECT_GE(*grip.lead, 0.0);
    EXPECT_NEAR((1.0 + *grip.lead) * survey.grips[i + 1].outward_N, grip.outward_N, 1e-9);
  }
  EXPECT_FALSE(survey.grips.back().lead);
}

TEST(Survey, EndsPullsAtTheFrictionOfTheSkin) {
  const Survey survey = survey_edge();
  const double border = std::atan(0.60);
  for (const SurveyedGrip& grip : survey.grips) {
    EXPECT_NEAR(find_held_pulls(grip.set).upper, border, 1e-12);
    EXPECT_TRUE(find_held_force(grip.set, border - 1e-6));
    EXPECT_FALSE(find_held_force(grip.set, border + 1e-6));
  }
}

TEST(Survey, AddsFingersOnlyWhereThePullIsHeld) {
  Survey survey = survey_edge();
  FingerSearch search;
  SurveyedGrip grip = survey.grips.front();
  add_fingers(survey, hand(), rad_from_deg(40.0), search, grip);
  EXPECT_TRUE(grip.fingers.empty());
  add_fingers(survey, hand(), rad_from_deg(10.0), search, grip);
  ASSERT_EQ(grip.fingers.size(), 1U);
  // The set is the hull of sampled pulls less flat corners: within a few per cent of the fingers' own sum.
  const double force_N = *find_held_force(grip.set, rad_from_deg(10.0));
  EXPECT_NEAR(grip.fingers.front().hand.force_N, force_N, 0.06 * force_N);
  grip.grip = Grip::kPinch;
  add_fingers(survey, hand(), rad_from_deg(10.0), search, grip);
  EXPECT_EQ(grip.fingers.size(), 1U) << "a pinch's fingers are not told apart";
}

}  // namespace
}  // namespace steepwright::grip
