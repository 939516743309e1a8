#include "engine/core/error.h"

#include <gtest/gtest.h>

namespace steepwright {
namespace {

Finding make_finding(Severity severity, const std::string& key, const std::string& message) {
  Finding finding;
  finding.severity = severity;
  finding.key = key;
  finding.message = message;
  return finding;
}

TEST(ErrorText, HasPlaceSeverityKeyMessageAndRemedy) {
  Finding finding = make_finding(Severity::kError, "wall.angle_deg", "200 deg is out of range");
  finding.place.file = "wall.toml";
  finding.place.line = 12;
  finding.place.column = 3;
  finding.remedy = "lower it";
  EXPECT_EQ(to_text(finding), "wall.toml:12:3: error: wall.angle_deg: 200 deg is out of range; lower it");
}

TEST(ErrorText, LeavesOutWhatIsNotKnown) {
  EXPECT_EQ(to_text(make_finding(Severity::kWarning, "", "two holds overlap")), "warning: two holds overlap");
  Finding whole_file = make_finding(Severity::kError, "", "is empty");
  whole_file.place.file = "a.toml";
  EXPECT_EQ(to_text(whole_file), "a.toml: error: is empty");
}

TEST(Findings, HaveErrorsOnlyWhenOneIsAnError) {
  const Finding warning = make_finding(Severity::kWarning, "", "w");
  const Finding error = make_finding(Severity::kError, "", "e");
  EXPECT_FALSE(has_errors({}));
  EXPECT_FALSE(has_errors({warning}));
  EXPECT_TRUE(has_errors({warning, error}));
}

TEST(Failure, CarriesOneErrorWithItsRemedy) {
  const Result<int> result = failure("no such file", "check the name");
  ASSERT_FALSE(result.has_value());
  ASSERT_EQ(result.error().size(), 1U);
  EXPECT_EQ(to_text(result.error()[0]), "error: no such file; check the name");
}

}  // namespace
}  // namespace steepwright
