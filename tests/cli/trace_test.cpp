// `steepwright trace` as a user meets it.

#include "tests/cli/process.h"
#include "tests/support/record_check.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <vector>

namespace steepwright::tests {
namespace {

using testing::AllOf;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::StartsWith;

constexpr const char* kMove = "left hand to the bar";

TEST(Trace, FollowsOneMoveFrameByFrameInAllForms) {
  const TemporaryFolder folder;
  const Outcome outcome = launch({"trace", "--move", kMove, "--risk", "50", "--json", folder.file("move.json"),
                                  "--strip", folder.file("move.png")});
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  for (const char* text : {"travel", "touch", "settled", "most load", "lower hand (RH)", "of 50 draws fail",
                           "assumed spreads", "EN 12572", "record written", "strip written"})
    EXPECT_THAT(outcome.out, HasSubstr(text));
  const auto record = nlohmann::json::parse(read_file(folder.file("move.json")));
  EXPECT_THAT(check_record(record), IsEmpty());
  const auto& move = record["moves"][0];
  EXPECT_EQ(record["record"], 1);
  EXPECT_EQ(record["moves"].size(), 1U);
  EXPECT_GT(move["frames"].size(), 20U);
  EXPECT_EQ(move["slip_risk"], move["risk"]["fail_share"]);
  EXPECT_EQ(move["risk"]["spreads_assumed"]["friction"], 0.1);
  EXPECT_EQ(move["frames"][0]["risk"]["effort"].size(), 3U);
  EXPECT_TRUE(move["frames"][0]["lower_hand"].contains("pull_swing_deg"));
  EXPECT_THAT(read_file(folder.file("move.png")), StartsWith("\x89PNG"));
}

TEST(Trace, OfAllMovesNamesTheCruxAndDrawsOnePage) {
  const TemporaryFolder folder;
  const Outcome outcome = launch({"trace", "--picture", folder.file("page.svg"), "--json", folder.file("all.json")});
  EXPECT_EQ(outcome.status, 1) << outcome.err;
  EXPECT_THAT(outcome.out, AllOf(HasSubstr("crux: "), HasSubstr("starts from a stance of its own")));
  EXPECT_THAT(read_file(folder.file("page.svg")), AllOf(HasSubstr("crux"), HasSubstr("</svg>")));
  const auto record = nlohmann::json::parse(read_file(folder.file("all.json")));
  int n_crux = 0;
  for (const auto& move : record["moves"]) n_crux += move["crux"].get<bool>() ? 1 : 0;
  EXPECT_EQ(n_crux, 1);
}

TEST(Trace, TellsThatAMoveOutOfReachHoldsWithoutAFoot) {
  const std::string root = STEEPWRIGHT_SOURCE_DIR;
  const Outcome outcome = launch({"trace", root + "/scenes/demo/barn-35.toml", "--climber",
                                  root + "/models/climbers/short-woman.toml", "--move", "right hand to the bucket"});
  EXPECT_EQ(outcome.status, 1) << outcome.err;
  EXPECT_THAT(outcome.out, AllOf(HasSubstr("mm short of 'high bucket'"),
                                 HasSubstr("with the left foot hanging free from the start")));
}

TEST(Trace, HelpNamesItsOptions) {
  const Outcome outcome = launch({"trace", "--help"});
  EXPECT_EQ(outcome.status, 0);
  for (const char* option : {"SCENE", "--move", "--json", "--strip", "--picture", "--compare-grips", "--feet",
                             "--shortfall", "--risk", "--seed", "--spread-friction", "--climber", "Exit status"})
    EXPECT_THAT(outcome.out, HasSubstr(option));
}

class BadTrace : public testing::TestWithParam<std::pair<std::vector<std::string>, std::string>> {};

TEST_P(BadTrace, EndsWithTwoNamesTheFaultAndWritesNothing) {
  std::vector<std::string> arguments = {"trace"};
  arguments.insert(arguments.end(), GetParam().first.begin(), GetParam().first.end());
  const Outcome outcome = launch(arguments);
  EXPECT_EQ(outcome.status, 2);
  EXPECT_THAT(outcome.out, IsEmpty());
  EXPECT_THAT(outcome.err, HasSubstr(GetParam().second));
}

INSTANTIATE_TEST_SUITE_P(
    All, BadTrace,
    testing::Values(std::pair{std::vector<std::string>{"--strip", "a.png"}, "name it with --move"},
                    std::pair{std::vector<std::string>{"--compare-grips"}, "name it with --move"},
                    std::pair{std::vector<std::string>{"--shortfall"}, "name it with --move"},
                    std::pair{std::vector<std::string>{"--move", kMove, "--strip", "a.bmp"}, ".svg, .png or .pdf"},
                    std::pair{std::vector<std::string>{"--move", kMove, "--picture", "a.png"}, "leave out --move"},
                    std::pair{std::vector<std::string>{"--move", kMove, "--risk", "-5"}, "--risk: is -5"},
                    std::pair{std::vector<std::string>{"--move", kMove, "--risk", "many"}, "--risk"},
                    std::pair{std::vector<std::string>{"--move", kMove, "--spread-tilt", "90"}, "--spread-tilt: is 90"},
                    std::pair{std::vector<std::string>{"--move", kMove, "--feet", "best"}, "--feet"},
                    std::pair{std::vector<std::string>{"--move", "left hand to the barr"}, "did you mean"},
                    std::pair{std::vector<std::string>{"no-such-file.toml"}, "no-such-file.toml"},
                    std::pair{std::vector<std::string>{"--json", "a.svg", "--picture", "a.svg"},
                              "name the same file"}));

TEST(Trace, DoesNotOverwriteItsScene) {
  const TemporaryFolder folder;
  write_file(folder.file("scene.svg"), "not a scene");
  const Outcome outcome = launch({"trace", folder.file("scene.svg"), "--picture", folder.file("scene.svg")});
  EXPECT_EQ(outcome.status, 2);
  EXPECT_THAT(outcome.err, HasSubstr("would be overwritten"));
  EXPECT_EQ(read_file(folder.file("scene.svg")), "not a scene");
}

}  // namespace
}  // namespace steepwright::tests
