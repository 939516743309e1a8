// The picture of a survey: well-formed, whole, its names apart.

#include "engine/io/grip_picture.h"

#include "engine/hold/hold.h"
#include "engine/io/grip_plot.h"
#include "engine/io/hold_file.h"
#include "engine/io/text_file.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <regex>

namespace steepwright::io {
namespace {

using testing::HasSubstr;
using testing::Not;

const grip::Hand& hand() {
  static const grip::Hand kHand = grip::make_hand({}, {.edge_force_N = 450.0, .is_measured = true});
  return kHand;
}

GripReport report_of(const std::string& name) {
  static const auto inventory = parse_inventory(*embedded_file("models/holds/workshop.toml"), "workshop.toml");
  static grip::CapacityCache hands(hand());
  const hold::Hold made = hold::make_hold(*inventory->inventory.find(name));
  GripReport report;
  report.hold = name;
  report.family = made.shape.family;
  report.climber = "me <&>";
  report.hand = hand();
  report.survey = grip::calc_survey(made.sites.front(), 0.0, hands);
  return report;
}

std::string draw(const GripReport& report) {
  return format_drawing(make_grip_picture(report), PictureFormat::kSvg).value();
}

/// Names of grips stand at the end of their line sample.
std::vector<double> find_name_heights(const std::string& svg) {
  std::vector<double> heights;
  const std::regex text(R"re(<text x="[0-9.]+" y="([0-9.]+)" font-size="13.0" fill="[^"]*" text-anchor="end")re");
  for (auto it = std::sregex_iterator(svg.begin(), svg.end(), text); it != std::sregex_iterator(); ++it)
    heights.push_back(std::strtod((*it)[1].str().c_str(), nullptr));
  return heights;
}

class GripPicture : public testing::TestWithParam<const char*> {};

TEST_P(GripPicture, NamesEveryGripApartAndIsFinite) {
  const GripReport report = report_of(GetParam());
  const std::string svg = draw(report);
  EXPECT_THAT(svg, Not(HasSubstr("nan")));
  EXPECT_FALSE(std::regex_search(svg, std::regex("[=, \"]-?inf[, \"]")));
  EXPECT_THAT(svg, HasSubstr("me &lt;&amp;&gt;"));
  const std::vector<double> heights = find_name_heights(svg);
  ASSERT_EQ(heights.size(), report.survey.grips.size());
  for (std::size_t i = 0; i < heights.size(); ++i) {
    EXPECT_THAT(svg, HasSubstr(">" + std::string(name_of(report.survey.grips[i].grip)) + "</text>"));
    if (i > 0) {
      EXPECT_GE(heights[i] - heights[i - 1], 15.0) << "px, more than a line of text";
    }
  }
}

INSTANTIATE_TEST_SUITE_P(Families, GripPicture,
                         testing::Values("thin rim", "square edge", "deep well", "soft trio", "loaf", "half ball",
                                         "bucket", "roof hook", "thin fin", "roof ridge", "plywood wedge"));

TEST(GripPictureText, SaysScaleFrictionForcesAndCautions) {
  const std::string svg = draw(report_of("square edge"));
  for (const char* text : {"true to scale", "10 mm", "200 N", "450 N on a 20 mm edge", "forces", ">31<", "0 deg",
                           "still growing", "EN 12572", "stroke-dasharray"})
    EXPECT_THAT(svg, HasSubstr(text));
}

TEST(GripPictureText, SaysWhenNoGripIsPossible) {
  GripReport report = report_of("square edge");
  report.survey.grips.clear();
  EXPECT_THAT(draw(report), HasSubstr("no grip is possible here"));
}

TEST(GripView, TurnsAnIncutFloorDownIntoTheWall) {
  const double incut = std::atan(0.75);
  const Vec2 inward = view_from_site({1.0, 0.0}, incut);
  EXPECT_NEAR(inward.x(), 0.8, 1e-12);
  EXPECT_NEAR(inward.y(), -0.6, 1e-12);
  EXPECT_NEAR(view_from_site({0.0, 1.0}, incut).x(), 0.6, 1e-12) << "the floor's normal leans into the wall";
}

}  // namespace
}  // namespace steepwright::io
