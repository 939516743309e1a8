// Studies on the command line: results, files that go on, interrupts, wrong arguments.

#include "tests/cli/process.h"
#include "tests/cli/study_arguments.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <signal.h>
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <sstream>
#include <thread>

namespace steepwright::tests {
namespace {

using testing::HasSubstr;

TEST(StudyBodies, WritesOneRowABodyTheSameOnAnyNumberOfThreads) {
  const TemporaryFolder folder;
  const std::string one = folder.file("one.jsonl");
  const std::string two = folder.file("two.jsonl");
  ASSERT_EQ(launch(bodies({"--count", "12", "--threads", "1", "--rows", one})).status, 0);
  const Outcome outcome = launch(bodies({"--count", "12", "--threads", "2", "--rows", two}));
  ASSERT_EQ(outcome.status, 0);
  EXPECT_THAT(outcome.out, HasSubstr("of 12 hold"));
  const std::string rows = read_file(one);
  EXPECT_EQ(rows, read_file(two));
  EXPECT_EQ(std::count(rows.begin(), rows.end(), '\n'), 13);
  std::istringstream lines(rows);
  std::string line;
  std::getline(lines, line);
  EXPECT_EQ(nlohmann::json::parse(line)["study"], "bodies");
  for (int sample = 0; std::getline(lines, line); ++sample) {
    const auto row = nlohmann::json::parse(line);
    EXPECT_EQ(row["sample"], sample);
    EXPECT_TRUE(row["stature_mm"].is_number());
  }
}

TEST(StudyBodies, GoOnAfterAKillAtAnyTime) {
  const TemporaryFolder folder;
  const std::string whole = folder.file("whole.jsonl");
  const std::string killed = folder.file("killed.jsonl");
  ASSERT_EQ(launch(bodies({"--count", "24", "--rows", whole})).status, 0);
  for (const int wait_ms : {150, 300}) {
    Launch first;
    first.arguments = bodies({"--count", "24", "--rows", killed});
    first.after_start = [wait_ms](int process) {
      std::this_thread::sleep_for(std::chrono::milliseconds(wait_ms));
      ::kill(process, SIGKILL);
    };
    static_cast<void>(launch(first));
  }
  ASSERT_EQ(launch(bodies({"--count", "24", "--rows", killed})).status, 0);
  EXPECT_EQ(read_file(killed), read_file(whole));
}

TEST(StudyBodies, RefusesTheFileOfAnotherStudy) {
  const TemporaryFolder folder;
  const std::string rows = folder.file("rows.jsonl");
  ASSERT_EQ(launch(bodies({"--count", "2", "--rows", rows})).status, 0);
  const std::string before = read_file(rows);
  const Outcome outcome = launch(bodies({"--count", "2", "--seed", "5", "--rows", rows}));
  EXPECT_EQ(outcome.status, 2);
  EXPECT_THAT(outcome.err, HasSubstr("another scene, climber or other options"));
  EXPECT_EQ(read_file(rows), before);
}

/// Runs a study of one row, then the same with one of its files changed: it must not go on.
void expect_refused_after_change(const std::vector<std::string>& arguments, const std::string& rows,
                                 const std::string& changed_file, const std::string& old_words,
                                 const std::string& new_words) {
  ASSERT_EQ(launch(arguments).status, 0);
  const std::string before = read_file(rows);
  std::string text = read_file(changed_file);
  ASSERT_NE(text.find(old_words), std::string::npos);
  text.replace(text.find(old_words), old_words.size(), new_words);
  write_file(changed_file, text);
  const Outcome outcome = launch(arguments);
  EXPECT_EQ(outcome.status, 2);
  EXPECT_THAT(outcome.err, HasSubstr("another scene, climber or other options"));
  EXPECT_EQ(read_file(rows), before);
}

TEST(StudyBodies, RefuseOtherPeople) {
  const TemporaryFolder folder;
  const std::string people = folder.file("people.csv");
  const std::string rows = folder.file("rows.jsonl");
  write_file(people, "sex,stature_mm,mass_kg,sitting_height_mm\nfemale,1600,55,850\n");
  expect_refused_after_change(bodies({"--people", people, "--rows", rows}), rows, people, "850", "851");
}

TEST(StudySeek, RefusesAnotherBodyThatMustHoldToo) {
  const TemporaryFolder folder;
  const std::string also = folder.file("also.toml");
  const std::string rows = folder.file("rows.jsonl");
  write_file(also,
             "steepwright_climber = 1\nname = \"Ada\"\nsex = \"female\"\nstature_mm = 1700\nmass_kg = 60\n"
             "leg_strength = 1.0\n\n[fingers]\nedge_force_N = 500\n");
  const std::vector<std::string> arguments = {"study",    "seek", "--move",   kMove, "--vary", "up@upper bar=1500:1520",
                                              "--effort", "0.8",  "--starts", "1",   "--also", also,
                                              "--rows",   rows};
  expect_refused_after_change(arguments, rows, also, "leg_strength = 1.0", "leg_strength = 1.1");
}

TEST(StudyBodies, RefuseRowsOfTheWrongForm) {
  const TemporaryFolder folder;
  const std::string rows = folder.file("rows.jsonl");
  ASSERT_EQ(launch(bodies({"--count", "1", "--rows", rows})).status, 0);
  const std::string whole = read_file(rows);
  const std::string header = whole.substr(0, whole.find('\n') + 1);
  for (const char* row :
       {"null", "[1]", "{\"verdict\":\"static\",\"effort\":1,\"sex\":null,\"stature_mm\":\"tall\"}"}) {
    write_file(rows, header + row + "\n");
    const Outcome outcome = launch(bodies({"--count", "1", "--rows", rows}));
    EXPECT_EQ(outcome.status, 2) << row;
    EXPECT_THAT(outcome.err, HasSubstr("is no row of this study"));
  }
}

/// Runs a study for a while, then wishes it to end.
Outcome launch_and_signal(const std::vector<std::string>& arguments, int signal, int wait_ms) {
  Launch stopped;
  stopped.arguments = arguments;
  stopped.after_start = [signal, wait_ms](int process) {
    std::this_thread::sleep_for(std::chrono::milliseconds(wait_ms));
    ::kill(process, signal);
  };
  return launch(stopped);
}

TEST(StudyInterrupted, SaysHowFarItCameAndHowToGoOn) {
  const TemporaryFolder folder;
  const std::string rows = folder.file("rows.jsonl");
  const std::vector<std::vector<std::string>> studies = {
      bodies({"--count", "5000", "--rows", rows}),
      {"study", "tune", "--move", kMove, "--vary", "strength=0.5:1.3:0.001", "--rows", rows},
      {"study", "seek", "--move", kMove, "--vary", "up@upper bar=1500:2300", "--starts", "500", "--rows", rows}};
  for (const std::vector<std::string>& study : studies) {
    for (const int signal : {SIGINT, SIGTERM}) {
      std::filesystem::remove(rows);
      const Outcome outcome = launch_and_signal(study, signal, 700);
      EXPECT_EQ(outcome.status, 130) << study[1];
      EXPECT_THAT(outcome.err, testing::AllOf(HasSubstr("interrupted after"), HasSubstr("goes on from"))) << study[1];
    }
  }
}

TEST(StudyBodies, ReadAListOfPeople) {
  const TemporaryFolder folder;
  const std::string people = folder.file("people.csv");
  write_file(people, "name,sex,stature_mm,mass_kg,span_mm\nAda,female,1600,55,\n\"Bo, the tall\",male,1900,80,1950\n");
  const Outcome outcome = launch(bodies({"--people", people}));
  EXPECT_EQ(outcome.status, 0);
  EXPECT_THAT(outcome.out, HasSubstr("Ada"));
  EXPECT_THAT(outcome.out, HasSubstr("Bo, the tall"));
  write_file(people, "name,sex,stature_mm,mass_kg\nAda,female,160,55\n");
  const Outcome bad = launch(bodies({"--people", people}));
  EXPECT_EQ(bad.status, 2);
  EXPECT_THAT(bad.err, HasSubstr("people.csv:2"));
  EXPECT_THAT(bad.err, HasSubstr("stature_mm"));
}

TEST(StudyReach, GoesOnAfterAKillAndAnInterrupt) {
  const TemporaryFolder folder;
  const std::string whole = folder.file("whole.jsonl");
  const std::string rows = folder.file("rows.jsonl");
  const std::string plain_map = folder.file("plain.json");
  const std::string map = folder.file("map.json");
  ASSERT_EQ(launch(reach({"--json", plain_map})).status, 0);
  ASSERT_EQ(launch(reach({"--rows", whole})).status, 0);
  for (const int signal : {SIGKILL, SIGINT}) {
    Launch first;
    first.arguments = reach({"--rows", rows, "--json", map});
    first.after_start = [signal](int process) {
      std::this_thread::sleep_for(std::chrono::milliseconds(250));
      ::kill(process, signal);
    };
    const Outcome outcome = launch(first);
    if (signal == SIGINT && outcome.status != 0) {
      EXPECT_EQ(outcome.status, 130);
      EXPECT_THAT(outcome.err, HasSubstr("the same command goes on from"));
    }
  }
  ASSERT_EQ(launch(reach({"--rows", rows, "--json", map})).status, 0);
  EXPECT_EQ(read_file(rows), read_file(whole));
  EXPECT_EQ(read_file(map), read_file(plain_map));
}

TEST(StudyReach, RefusesRowsOfAnotherMap) {
  const TemporaryFolder folder;
  const std::string rows = folder.file("rows.jsonl");
  const std::vector<std::string> small = {"study",   "reach", "--strip", "kicker", "--coarse",
                                          "--pitch", "200",   "--rows",  rows};
  ASSERT_EQ(launch(small).status, 0);
  std::vector<std::string> other = small;
  other.insert(other.end(), {"--limb", "RF"});
  EXPECT_THAT(launch(other).err, HasSubstr("another scene, climber or other options"));
  std::string text = read_file(rows);
  const std::string place = "\"strip\":0,\"i\":";
  ASSERT_NE(text.find(place), std::string::npos);
  text.insert(text.find(place) + place.size(), "9");
  write_file(rows, text);
  const Outcome outcome = launch(small);
  EXPECT_EQ(outcome.status, 2);
  EXPECT_THAT(outcome.err, HasSubstr("are not those of this map"));
}

TEST(StudyTune, FindsWhereTheVerdictChanges) {
  const TemporaryFolder folder;
  const std::string csv = folder.file("tune.csv");
  const std::string svg = folder.file("tune.svg");
  const Outcome outcome =
      launch({"study", "tune", "--move", kMove, "--vary", "strength=0.3:1.2:0.3", "--csv", csv, "--picture", svg});
  EXPECT_EQ(outcome.status, 0);
  EXPECT_THAT(outcome.out, HasSubstr("holds at"));
  EXPECT_THAT(outcome.out, HasSubstr("judged by four stances"));
  EXPECT_THAT(read_file(csv), testing::StartsWith("strength_factor,verdict,effort"));
  EXPECT_THAT(read_file(svg), HasSubstr("Effort over strength"));
}

TEST(StudyTune, FindsTheBorderOfAFieldAlongBothDimensions) {
  const TemporaryFolder folder;
  const std::string rows = folder.file("rows.jsonl");
  const std::string png = folder.file("tune.png");
  const Outcome outcome =
      launch({"study", "tune", "--move", kMove, "--vary", "stature=1500:1900:400", "--vary", "strength=0.3:1.1:0.8",
              "--tolerance", "50", "--tolerance", "0.1", "--rows", rows, "--picture", png});
  EXPECT_EQ(outcome.status, 0);
  EXPECT_THAT(outcome.out, HasSubstr("found to 50 mm and 0.1 factor"));
  EXPECT_THAT(read_file(rows), HasSubstr("\"along\":\"strength_factor\""));
  EXPECT_THAT(read_file(png), testing::StartsWith("\x89PNG"));
}

TEST(StudyReach, DrawsAndListsTheMap) {
  const TemporaryFolder folder;
  const std::string svg = folder.file("map.svg");
  const Outcome outcome =
      launch({"study", "reach", "--move", kMove, "--pitch", "200", "--coarse", "--picture", svg, "--json", "-"});
  EXPECT_EQ(outcome.status, 0);
  const auto record = nlohmann::json::parse(outcome.out, nullptr, false);  // nothing else stands behind it
  ASSERT_TRUE(record.is_object()) << outcome.out;
  EXPECT_EQ(record["reach_map"], 1);
  EXPECT_GT(record["places"].size(), 100U);
  EXPECT_THAT(read_file(svg), HasSubstr("left hand on the bare wall"));
}

TEST(StudySeek, PlacesAHoldOnATNut) {
  const TemporaryFolder folder;
  const std::string svg = folder.file("seek.svg");
  const Outcome outcome = launch({"study", "seek", "--move", kMove, "--vary", "up@upper bar=1500:2300", "--effort",
                                  "0.8", "--starts", "1", "--picture", svg});
  EXPECT_EQ(outcome.status, 0);
  EXPECT_THAT(outcome.out, HasSubstr("on a T-nut"));
  EXPECT_THAT(outcome.out, HasSubstr("binds:"));
  // The T-nuts stand too far apart for 80 %: table and picture say what the best of them comes to.
  const std::string reached = "comes nearest to an effort of 80 %: 77 %";
  EXPECT_THAT(outcome.out, testing::AllOf(HasSubstr(reached), HasSubstr("effort 76.6 %")));
  EXPECT_THAT(read_file(svg), testing::AllOf(HasSubstr(reached), HasSubstr("upper bar"), HasSubstr(">1<")));
}

class BadStudy : public testing::TestWithParam<std::pair<std::vector<std::string>, std::string>> {};

TEST_P(BadStudy, EndsWithTwoAndARemedy) {
  const auto& [arguments, remedy] = GetParam();
  const Outcome outcome = launch(arguments);
  EXPECT_EQ(outcome.status, 2);
  EXPECT_THAT(outcome.err, HasSubstr(remedy));
}

using Case = std::pair<std::vector<std::string>, std::string>;
INSTANTIATE_TEST_SUITE_P(
    All, BadStudy,
    testing::Values(Case{{"study"}, "no command is given"}, Case{{"study", "tune"}, "--vary"},
                    Case{{"study", "tune", "--vary", "angel=20:50:5"}, "did you mean 'angle'"},
                    Case{{"study", "tune", "--vary", "angle=50:20:5"}, "FROM below TO"},
                    Case{{"study", "tune", "--vary", "depth@no such=10:20:5"}, "no hold 'no such'"},
                    Case{{"study", "tune", "--vary", "angle"}, "has no range"},
                    Case{{"study", "tune", "--vary", "angle=20:50:5", "--picture", "a.gif"}, ".svg, .png or .pdf"},
                    Case{{"study", "reach", "--json", "-", "--csv", "-"}, "name the same file"},
                    Case{{"study", "reach", "--hold", "toe block", "--limb", "LH"}, "no site for a hand"},
                    Case{{"study", "reach", "--limb", "head"}, "LH, RH, LF and RF"},
                    Case{{"study", "reach", "--hold", "thin rimm"}, "did you mean 'thin rim'"},
                    Case{{"study", "reach", "--grip", "half crimp"}, "give --hold too"},
                    Case{{"study", "bodies", "--move", "nowhere"}, "its moves are"},
                    Case{{"study", "bodies", "--rows", "a.jsonl", "--csv", "a.jsonl"}, "name the same file"},
                    Case{{"study", "bodies", "--rows", "/proc/a.jsonl"}, "check that the folder exists"},
                    Case{{"study", "seek", "--vary", "stature=1500:1900"}, "not the climber"},
                    Case{{"study", "seek", "--vary", "up@upper bar", "--also", "16"}, "no stature"}));

}  // namespace
}  // namespace steepwright::tests
