// Meshes as a user measures them.

#include "tests/cli/process.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <string>

namespace steepwright::tests {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;

class HoldMeasure : public testing::Test {
 protected:
  void SetUp() override { ASSERT_EQ(launch({"hold", "make", "bucket", "--out", mesh()}).status, 0); }
  [[nodiscard]] std::string mesh() const { return folder_.file("bucket.stl"); }

  TemporaryFolder folder_;
};

TEST_F(HoldMeasure, PrintsGuessesAndSites) {
  const Outcome outcome = launch({"hold", "measure", mesh()});
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  for (const char* text : {"binary STL", "unit mm", "out of the panel is taken as +z", "round hole of 11 mm", "lip",
                           "grips: jug", "holes: none"})
    EXPECT_THAT(outcome.out, HasSubstr(text));
}

TEST_F(HoldMeasure, DrawsTheSections) {
  const Outcome outcome = launch({"hold", "measure", mesh(), "--picture", folder_.file("bucket.svg")});
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  EXPECT_THAT(outcome.out, HasSubstr("picture written to " + folder_.file("bucket.svg")));
  EXPECT_THAT(read_file(folder_.file("bucket.svg")), HasSubstr("depth 50.0 mm"));
  EXPECT_EQ(launch({"hold", "measure", mesh(), "--picture", folder_.file("bucket.png")}).status, 0);
  EXPECT_THAT(read_file(folder_.file("bucket.png")), HasSubstr("PNG"));
}

TEST_F(HoldMeasure, PrintsAnEntryThatAnInventoryTakes) {
  const Outcome entry = launch({"hold", "measure", mesh(), "--as-toml"});
  EXPECT_EQ(entry.status, 0) << entry.err;
  std::ofstream(folder_.file("scans.toml")) << "steepwright_inventory = 1\n" << entry.out;
  const Outcome listed = launch({"hold", "list", "--inventory", folder_.file("scans.toml")});
  EXPECT_EQ(listed.status, 0) << listed.err;
  EXPECT_THAT(listed.out, HasSubstr("imported"));
  EXPECT_THAT(listed.out, HasSubstr("jug"));
}

TEST_F(HoldMeasure, EndsBadInputWithTwoAndOneLine) {
  std::ofstream(folder_.file("letter.stl")) << "dear climber";
  for (const std::vector<std::string>& arguments :
       std::vector<std::vector<std::string>>{{"hold", "measure", folder_.file("letter.stl")},
                                             {"hold", "measure", folder_.file("absent.stl")},
                                             {"hold", "measure", mesh(), "--unit", "yard"},
                                             {"hold", "measure", mesh(), "--out-axis", "up"},
                                             {"hold", "measure", mesh(), "--out-axis", "+z", "--up-axis", "-z"},
                                             {"hold", "measure", mesh(), "--picture", mesh()},
                                             {"hold", "measure", mesh(), "--picture", folder_.file("a.jpg")},
                                             {"hold", "measure", mesh(), "--turn", "nan"},
                                             {"hold", "measure", mesh(), "--bolt", "1,2"},
                                             {"hold", "measure", mesh(), "--surface", "velvet"},
                                             {"hold", "measure", mesh(), "--json", "--as-toml"}}) {
    const Outcome outcome = launch(arguments);
    EXPECT_EQ(outcome.status, 2) << arguments.back();
    EXPECT_THAT(outcome.out, IsEmpty());
    EXPECT_EQ(std::count(outcome.err.begin(), outcome.err.end(), '\n'), 1) << outcome.err;
  }
}

}  // namespace
}  // namespace steepwright::tests
