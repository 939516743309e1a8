// What a hand holds on a hold, as a user asks for it.

#include "tests/cli/process.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include <sstream>

namespace steepwright::tests {
namespace {

using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;
using testing::StartsWith;

using Arguments = std::vector<std::string>;
using Json = nlohmann::json;

Json record_of(Arguments arguments) {
  arguments.insert(arguments.begin(), "grip");
  arguments.insert(arguments.end(), {"--json", "-"});
  const Outcome outcome = launch(arguments);
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  return Json::parse(outcome.out, nullptr, false);
}

const Json& grip_of(const Json& record, const std::string& name) {
  static const Json kNone;
  for (const Json& grip : record["grips"]) {
    if (grip["grip"] == name) return grip;
  }
  ADD_FAILURE() << "the record has no " << name;
  return kNone;
}

double capacity_of(const Json& record, const std::string& grip, int pull_deg) {
  for (const Json& at : grip_of(record, grip)["capacities"]) {
    if (at["pull_deg"] == pull_deg) return at["capacity_N"].get<double>();
  }
  ADD_FAILURE() << "no pull of " << pull_deg << " deg";
  return 0.0;
}

std::string climber(const std::string& fingers) {
  return "steepwright_climber = 1\nname = \"me\"\nsex = \"female\"\nstature_mm = 1650\nmass_kg = 58\n[fingers]\n" +
         fingers;
}

TEST(Grip, TellsOfSiteFrictionClimberGripsAndFingers) {
  const Outcome outcome = launch({"grip", "square edge"});
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  EXPECT_THAT(outcome.err, IsEmpty());
  for (const char* text :
       {"square edge, lip", "20 mm deep at 0 deg incut, lip radius 4 mm, 120 mm wide", "raw wood, mu 0.60 +/- 0.10",
        "522 N on a 20 mm edge (default for the ability)", "half crimp", "open hand", "holds to", "31 deg", "forces",
        "single fingers in", "index", "little", "A2", "caution: ", "no safe limit", "not possible here",
        "there is no opposite face for the thumb", "still growing", "EN 12572"})
    EXPECT_THAT(outcome.out, HasSubstr(text));
  std::istringstream lines(outcome.out);
  for (std::string line; std::getline(lines, line);) EXPECT_LE(line.size(), 100U) << line;
}

TEST(Grip, HoldsTheReferenceForceOnTheReferenceEdge) {
  EXPECT_NEAR(capacity_of(record_of({"square edge"}), "half crimp", 0), 0.70 * 76.0 * 9.80665, 1.0)
      << "within what the set's flat corners cut, 1 % at most";
}

TEST(Grip, ShowsADashWhereFrictionDoesNotHold) {
  const Json record = record_of({"square edge"});
  for (const Json& grip : record["grips"]) {
    EXPECT_TRUE(grip["capacities"][4]["capacity_N"].is_null()) << "40 deg is beyond atan(0.6) = 31 deg";
    EXPECT_NEAR(grip["largest_pull_deg"].get<double>(), 30.964, 1e-3);
  }
  const Json rough = record_of({"square edge", "--surface", "grit"});
  EXPECT_GT(capacity_of(rough, "half crimp", 40), 0.0) << "atan(0.9) = 42 deg";
  EXPECT_NEAR(record_of({"square edge", "--no-chalk"})["mu"].get<double>(), 0.60 / 1.18, 1e-6);
}

TEST(Grip, RecordIsWholeAndAddsUp) {
  const Json record = record_of({"soft trio", "--pull", "20"});
  EXPECT_EQ(record["grip_record"], 1);
  EXPECT_EQ(record["hold"], "soft trio");
  EXPECT_EQ(record["site"]["depth_mm"], 18.0);
  EXPECT_EQ(record["cautions"].size(), 3U);
  EXPECT_EQ(record["grips"].size() + record["shut"].size(), 9U);
  for (const Json& grip : record["grips"]) {
    EXPECT_GE(grip["bounds"].size(), 1U);
    EXPECT_EQ(grip["finger_loads"].size(), 4U) << "0 to 30 deg";
    for (const Json& at : grip["finger_loads"]) {
      double sum_N = 0.0;
      for (const Json& finger : at["fingers"]) {
        sum_N += finger["force_N"].get<double>();
        EXPECT_LE(finger["a2_pulley_N"][0], finger["a2_pulley_N"][1]);
        EXPECT_LE(finger["friction_used"].get<double>(), 1.0 + 1e-6);
      }
      EXPECT_NEAR(sum_N, at["together_N"].get<double>(), 1e-3);
    }
  }
}

TEST(Grip, TellsOnlyOfTheGripsAskedFor) {
  const Outcome outcome =
      launch({"grip", "square edge", "--grip", "half crimp", "--grip", "open hand", "--pull", "20"});
  EXPECT_EQ(outcome.status, 0);
  EXPECT_THAT(outcome.out, HasSubstr("single fingers in half crimp, pull 20 deg"));
  EXPECT_THAT(outcome.out, HasSubstr("single fingers in open hand, pull 20 deg"));
  EXPECT_THAT(outcome.out, Not(HasSubstr("three-finger")));
  EXPECT_THAT(outcome.out, Not(HasSubstr("not possible here")));
}

TEST(Grip, EndsWithOneWhenAGripAskedForIsNotPossible) {
  const Outcome outcome = launch({"grip", "square edge", "--grip", "jug"});
  EXPECT_EQ(outcome.status, 1);
  EXPECT_THAT(outcome.out, HasSubstr("the floor is 20 mm deep, it needs 25 mm"));
  EXPECT_THAT(outcome.out, Not(HasSubstr("forces")));
}

TEST(Grip, SaysThatAPinchHoldsPullsStraightOut) {
  const Outcome outcome = launch({"grip", "thin fin", "--grip", "pinch"});
  EXPECT_EQ(outcome.status, 0);
  EXPECT_THAT(outcome.out, HasSubstr("along the lip"));
  EXPECT_THAT(outcome.out, HasSubstr("press against the thumb"));
  EXPECT_THAT(launch({"grip", "thin fin", "--site", "right flank"}).out, HasSubstr("thin fin, right flank"));
}

TEST(Grip, SaysWhichPullsAreHeldWhenTheOneAskedForIsNot) {
  EXPECT_THAT(launch({"grip", "square edge", "--pull", "50"}).out,
              HasSubstr("friction does not hold it, only -31 to 31 deg"));
}

TEST(Grip, TellsOfTheForearmItComputed) {
  EXPECT_THAT(launch({"grip", "loaf", "--forearm", "40"}).out, HasSubstr("forearm 40 deg (computed at 45 deg)"));
  EXPECT_THAT(launch({"grip", "loaf", "--forearm", "90"}).out, HasSubstr("straight out"));
  EXPECT_EQ(record_of({"loaf", "--forearm", "40"})["forearm_deg"], 45.0);
}

TEST(Grip, TakesTheSameHangInEveryWayOfWritingIt) {
  const TemporaryFolder folder;
  const auto force_of = [&folder](const std::string& fingers) {
    write_file(folder.file("me.toml"), climber(fingers));
    return record_of({"thin rim", "--climber", folder.file("me.toml")})["climber"]["edge_force_N"].get<double>();
  };
  const double force_N = force_of("edge_load_kg = 40\n");
  EXPECT_NEAR(force_N, 40.0 * 9.80665, 1e-3);
  EXPECT_NEAR(force_of("added_load_kg = -18\n"), force_N, 1e-3) << "58 - 18 kg";
  EXPECT_NEAR(force_of("added_load_kg = 22\nhang_hands = 2\n"), force_N, 1e-3) << "(58 + 22) / 2 kg";
  EXPECT_NEAR(force_of("edge_load_kg = 80\nhang_hands = 2\n"), force_N, 1e-3);
}

TEST(Grip, MeasuredOnADeeperEdgeMeansWeakerFingers) {
  const TemporaryFolder folder;
  write_file(folder.file("20.toml"), climber("edge_load_kg = 40\n"));
  write_file(folder.file("30.toml"), climber("edge_load_kg = 40\nedge_depth_mm = 30\nedge_grip = \"open hand\"\n"));
  const auto capacity = [&folder](const char* file) {
    return capacity_of(record_of({"square edge", "--climber", folder.file(file)}), "open hand", 0);
  };
  EXPECT_LT(capacity("30.toml"), capacity("20.toml"));
  EXPECT_THAT(launch({"grip", "square edge", "--climber", folder.file("30.toml")}).out,
              HasSubstr("392 N on a 30 mm edge, open hand (measured)"));
}

TEST(Grip, SaysWhenTheModelDoesNotReachTheHang) {
  const TemporaryFolder folder;
  write_file(folder.file("me.toml"), climber("edge_load_kg = 200\nedge_depth_mm = 6\n"));
  const Outcome outcome = launch({"grip", "thin rim", "--climber", folder.file("me.toml")});
  EXPECT_EQ(outcome.status, 0);
  EXPECT_THAT(outcome.out, HasSubstr("note: the finger model does not reach 1961 N on a 6 mm edge"));
  EXPECT_THAT(launch({"check", "--climber", folder.file("me.toml")}).out,
              HasSubstr("note: the finger model does not reach 1961 N on a 6 mm edge"));
}

TEST(Grip, WritesRecordAndPicture) {
  const TemporaryFolder folder;
  const Outcome outcome =
      launch({"grip", "bucket", "--json", folder.file("b.json"), "--picture", folder.file("b.svg")});
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  EXPECT_THAT(outcome.out, HasSubstr("picture written to " + folder.file("b.svg")));
  EXPECT_TRUE(Json::accept(read_file(folder.file("b.json"))));
  EXPECT_THAT(read_file(folder.file("b.svg")), HasSubstr("</svg>"));
  EXPECT_EQ(folder.count_files(), 2U);
  const Outcome both = launch({"grip", "bucket", "--json", "-", "--picture", folder.file("c.svg")});
  EXPECT_TRUE(Json::accept(both.out)) << "nothing but the record on standard output";
}

struct BadCall {
  Arguments arguments;
  std::string message;
};

class BadGrip : public testing::TestWithParam<BadCall> {};

TEST_P(BadGrip, EndsWithTwoAndOneClearLine) {
  const TemporaryFolder folder;
  Arguments arguments = GetParam().arguments;
  arguments.insert(arguments.begin(), "grip");
  arguments.insert(arguments.end(), {"--picture", folder.file("out.svg")});
  const Outcome outcome = launch(arguments);
  EXPECT_EQ(outcome.status, 2);
  EXPECT_THAT(outcome.out, IsEmpty());
  EXPECT_THAT(outcome.err, HasSubstr(GetParam().message));
  EXPECT_EQ(folder.count_files(), 0U) << "nothing is written";
}

INSTANTIATE_TEST_SUITE_P(
    All, BadGrip,
    testing::Values(
        BadCall{{"sqare edge"}, "has no hold 'sqare edge'; did you mean 'square edge'?"},
        BadCall{{"toe block"}, "'toe block' is for feet only"},
        BadCall{{"thin fin", "--site", "top"}, "is for feet only; its sites for hands are 'left flank' and 'right"},
        BadCall{{"thin fin", "--site", "left flnk"}, "has no site 'left flnk'; did you mean 'left flank'?"},
        BadCall{{"square edge", "--grip", "half crmp"}, "there is no grip 'half crmp'; did you mean 'half crimp'?"},
        BadCall{{"square edge", "--surface", "butter"}, "surfaces are 'raw wood'"},
        BadCall{{"square edge", "--forearm", "200"}, "--forearm: is 200, allowed 0 to 150 deg"},
        BadCall{{"square edge", "--forearm", "nan"}, "--forearm: is nan"},
        BadCall{{"square edge", "--pull", "120"}, "--pull: is 120, allowed -90 to 90 deg"},
        BadCall{{"square edge", "--climber", "no-such.toml"}, "no-such.toml"},
        BadCall{{"square edge", "--inventory", "no-such.toml"}, "no-such.toml"},
        BadCall{{"square edge", "--json", "no-such-folder/../x/y.json", "--pull", "deep"}, "--pull"},
        BadCall{{}, "HOLD"}));

TEST(Grip, KeepsOldFilesWhenItFails) {
  const TemporaryFolder folder;
  write_file(folder.file("me.toml"), climber("edge_load_kg = 40\n"));
  const Outcome over =
      launch({"grip", "bucket", "--climber", folder.file("me.toml"), "--picture", folder.file("me.toml")});
  EXPECT_EQ(over.status, 2);
  EXPECT_THAT(over.err, HasSubstr("would be overwritten"));
  EXPECT_THAT(read_file(folder.file("me.toml")), StartsWith("steepwright_climber"));
  EXPECT_EQ(launch({"grip", "bucket", "--picture", folder.file("a"), "--json", folder.file("a")}).status, 2);
  EXPECT_EQ(launch({"grip", "bucket", "--picture", folder.file("no-such-folder/a.svg")}).status, 2);
  EXPECT_EQ(folder.count_files(), 1U);
}

TEST(Grip, ReportsAFullDiskAndBearsAClosedPipe) {
  for (const Arguments& arguments : {Arguments{"grip", "bucket"}, Arguments{"grip", "bucket", "--json", "-"}}) {
    Launch full;
    full.arguments = arguments;
    full.out_file = "/dev/full";
    const Outcome outcome = launch(full);
    EXPECT_EQ(outcome.status, 2);
    EXPECT_THAT(outcome.err, HasSubstr("cannot write to standard output"));
    Launch closed;
    closed.arguments = arguments;
    closed.close_out = true;
    EXPECT_EQ(launch(closed).status, 0);
  }
}

TEST(Grip, HasHelpThatSaysWhatForearmAndPullMean) {
  const Outcome outcome = launch({"grip", "--help"});
  for (const char* text : {"Usage: steepwright grip", "--forearm", "elbow", "--picture", "--no-chalk", "Examples:"})
    EXPECT_THAT(outcome.out, HasSubstr(text));
  EXPECT_THAT(launch({"completion", "bash"}).out, HasSubstr("--forearm"));
}

}  // namespace
}  // namespace steepwright::tests
