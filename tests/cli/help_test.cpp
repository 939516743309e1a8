// What the command says about itself, and how it takes wrong arguments.

#include "tests/cli/process.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <sstream>
#include <string>
#include <vector>

namespace steepwright::tests {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::MatchesRegex;
using testing::StartsWith;

TEST(Help, OfTheProgramNamesEveryCommandAndTheExitStatus) {
  const Outcome outcome = launch({"--help"});
  EXPECT_EQ(outcome.status, 0);
  EXPECT_THAT(outcome.err, IsEmpty());
  for (const char* text : {"check", "trace", "hold", "grip", "study", "keys", "demo", "completion",
                           "Examples:", "Exit status: 0 all moves hold"})
    EXPECT_THAT(outcome.out, HasSubstr(text));
}

TEST(Help, OfEveryCommandIsThere) {
  for (const char* command : {"check", "trace", "hold", "grip", "study", "keys", "demo", "completion"}) {
    const Outcome outcome = launch({command, "--help"});
    EXPECT_EQ(outcome.status, 0) << command;
    EXPECT_THAT(outcome.out, HasSubstr("Usage: steepwright " + std::string(command))) << command;
    EXPECT_THAT(outcome.err, IsEmpty()) << command;
  }
}

TEST(Help, OfCheckNamesItsOptions) {
  const Outcome outcome = launch({"check", "--help"});
  for (const char* option : {"SCENE", "--json", "--picture", "--move", "--climber"})
    EXPECT_THAT(outcome.out, HasSubstr(option));
}

TEST(Version, IsPrinted) {
  const Outcome outcome = launch({"--version"});
  EXPECT_EQ(outcome.status, 0);
  EXPECT_THAT(outcome.out, MatchesRegex("steepwright [0-9]+\\.[0-9]+\\.[0-9]+\n"));
}

class BadArguments : public testing::TestWithParam<std::vector<std::string>> {};

TEST_P(BadArguments, EndWithTwoAndPointToTheHelp) {
  const Outcome outcome = launch(GetParam());
  EXPECT_EQ(outcome.status, 2);
  EXPECT_THAT(outcome.out, IsEmpty());
  EXPECT_THAT(outcome.err, StartsWith("steepwright: "));
  EXPECT_THAT(outcome.err, HasSubstr("--help"));
}

INSTANTIATE_TEST_SUITE_P(All, BadArguments,
                         testing::Values(std::vector<std::string>{}, std::vector<std::string>{"chekc"},
                                         std::vector<std::string>{"check", "--no-such-option"},
                                         std::vector<std::string>{"check", "a.toml", "b.toml"},
                                         std::vector<std::string>{"check", "--json"},
                                         std::vector<std::string>{"check", "--move", "a", "--move", "b"},
                                         std::vector<std::string>{"demo"}, std::vector<std::string>{"hold"},
                                         std::vector<std::string>{"hold", "made"},
                                         std::vector<std::string>{"completion", "tcsh"}));

TEST(Keys, NamesKeysWithUnitOfEveryKindOfFile) {
  const Outcome outcome = launch({"keys"});
  EXPECT_EQ(outcome.status, 0);
  for (const char* key : {"angle_deg", "stature_mm", "mass_kg", "depth_mm", "moving"})
    EXPECT_THAT(outcome.out, HasSubstr(key));
}

TEST(Completion, IsValidBashAndKnowsTheOptions) {
  const Outcome outcome = launch({"completion", "bash"});
  EXPECT_EQ(outcome.status, 0);
  EXPECT_THAT(outcome.out, HasSubstr("--picture"));
  const TemporaryFolder folder;
  write_file(folder.file("rules"), outcome.out);
  const std::string ask = "bash -c 'source " + folder.file("rules") +
                          "; COMP_WORDS=(steepwright check --pi); COMP_CWORD=2; _steepwright; "
                          "[ \"${COMPREPLY[*]}\" = --picture ]'";
  EXPECT_EQ(std::system(ask.c_str()), 0);
  const std::string ask_below = "bash -c 'source " + folder.file("rules") +
                                "; COMP_WORDS=(steepwright hold ma); COMP_CWORD=2; _steepwright; "
                                "[ \"${COMPREPLY[*]}\" = make ]'";
  EXPECT_EQ(std::system(ask_below.c_str()), 0);
}

}  // namespace
}  // namespace steepwright::tests
