// The main command as a user meets it.

#include "tests/cli/process.h"
#include "tests/support/record_check.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <sys/stat.h>

#include <algorithm>
#include <cctype>
#include <chrono>
#include <csignal>
#include <filesystem>
#include <sstream>
#include <string>
#include <thread>
#include <tuple>
#include <vector>

namespace steepwright::tests {
namespace {

using testing::AnyOf;
using testing::Eq;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;

// 0 or 1: the job was done, whatever the verdicts are.
bool is_answer(int status) { return status == 0 || status == 1; }

// Columns of a UTF-8 line whose letters are all one column wide.
std::size_t count_columns(const std::string& line) {
  return static_cast<std::size_t>(std::count_if(
      line.begin(), line.end(), [](char byte) { return (static_cast<unsigned char>(byte) & 0xC0U) != 0x80U; }));
}

std::size_t find_widest_line(const std::string& text) {
  std::istringstream lines(text);
  std::size_t widest = 0;
  for (std::string line; std::getline(lines, line);) widest = std::max(widest, count_columns(line));
  return widest;
}

TEST(Check, JudgesTheSceneThatComesWithTheProgram) {
  const Outcome outcome = launch({"check"});
  EXPECT_TRUE(is_answer(outcome.status)) << outcome.err;
  for (const char* text : {"move", "verdict", "effort", "friction", "cause", "static"})
    EXPECT_THAT(outcome.out, HasSubstr(text));
}

TEST(Check, EndsWithOneExactlyWhenAMoveDoesNotHold) {
  const Outcome outcome = launch({"check"});
  const bool some_do_not = outcome.out.find("not static") != std::string::npos;
  EXPECT_EQ(outcome.status, some_do_not ? 1 : 0);
}

TEST(Check, ShowsTheCautions) {
  const Outcome outcome = launch({"check"});
  for (const char* text : {"no safe load for fingers", "still growing", "EN 12572"})
    EXPECT_THAT(outcome.out, HasSubstr(text));
}

TEST(Check, FitsAHundredColumns) { EXPECT_LE(find_widest_line(launch({"check"}).out), 100U); }

TEST(Check, WritesRecordAndPicture) {
  const TemporaryFolder folder;
  const Outcome outcome = launch({"check", "--json", folder.file("r.json"), "--picture", folder.file("p.svg")});
  EXPECT_TRUE(is_answer(outcome.status)) << outcome.err;
  EXPECT_THAT(outcome.out, HasSubstr(folder.file("r.json")));
  EXPECT_EQ(nlohmann::json::parse(read_file(folder.file("r.json")))["record"], 1);
  EXPECT_THAT(read_file(folder.file("p.svg")), HasSubstr("</svg>"));
  EXPECT_EQ(folder.count_files(), 2U);
}

TEST(Check, WritesThePictureInTheFormatOfItsName) {
  const TemporaryFolder folder;
  const char* move = "left hand to the bar";
  EXPECT_TRUE(is_answer(launch({"check", "--move", move, "--picture", folder.file("p.png")}).status));
  EXPECT_THAT(read_file(folder.file("p.png")), HasSubstr("PNG"));
  const Outcome unknown = launch({"check", "--move", move, "--picture", folder.file("p.jpg")});
  EXPECT_EQ(unknown.status, 2);
  EXPECT_THAT(unknown.err, HasSubstr("it ends in .svg, .png or .pdf"));
  EXPECT_EQ(folder.count_files(), 1U);
}

// The last of the demo's moves is short with both feet on; README shows it.
TEST(Check, TellsThatAMoveShortOfItsTargetHoldsWithAFootOff) {
  const TemporaryFolder folder;
  const Outcome outcome = launch({"check", "--move", "right hand past the bucket", "--json", folder.file("r.json")});
  EXPECT_EQ(outcome.status, 1) << outcome.err;
  EXPECT_THAT(outcome.out, HasSubstr("short with the feet as given; with the left foot hanging free from the\n"
                                     "start it holds"));
  const auto move = nlohmann::json::parse(read_file(folder.file("r.json")))["moves"][0];
  EXPECT_EQ(move["verdict"], "not static");
  EXPECT_EQ(move["holds_with_cut_loose"]["from_start"], true);
}

TEST(Check, PrintsTheRecordAloneForADash) {
  const Outcome outcome = launch({"check", "--json", "-"});
  EXPECT_TRUE(nlohmann::json::accept(outcome.out));
}

TEST(Check, WritesTheSameRecordEachTime) {
  EXPECT_EQ(launch({"check", "--json", "-"}).out, launch({"check", "--json", "-"}).out);
}

TEST(Check, JudgesOnlyTheNamedMove) {
  const auto record = nlohmann::json::parse(launch({"check", "--json", "-"}).out);
  ASSERT_GE(record["moves"].size(), 1U);
  const std::string name = record["moves"].back()["name"];
  const auto one = nlohmann::json::parse(launch({"check", "--json", "-", "--move", name}).out);
  ASSERT_EQ(one["moves"].size(), 1U);
  EXPECT_EQ(one["moves"][0], record["moves"].back());
}

TEST(Check, NamesTheMovesWhenTheNamedOneIsUnknown) {
  const Outcome outcome = launch({"check", "--move", "no such move"});
  EXPECT_EQ(outcome.status, 2);
  EXPECT_THAT(outcome.err, HasSubstr("no such move"));
  EXPECT_THAT(outcome.err, AnyOf(HasSubstr("its moves are"), HasSubstr("did you mean")));
}

TEST(Check, RefusesAMissingFile) {
  const Outcome outcome = launch({"check", "no-such-file.toml"});
  EXPECT_EQ(outcome.status, 2);
  EXPECT_THAT(outcome.err, HasSubstr("no-such-file.toml"));
  EXPECT_THAT(outcome.out, IsEmpty());
}

TEST(Check, ShowsFileLineAndColumnOfABadScene) {
  const TemporaryFolder folder;
  // The unknown key stands in line 2, column 1.
  write_file(folder.file("bad.toml"), "steepwright_scene = 1\nanlge_deg = 35\n");
  const Outcome outcome = launch({"check", folder.file("bad.toml"), "--json", folder.file("r.json")});
  EXPECT_EQ(outcome.status, 2);
  EXPECT_THAT(outcome.err, HasSubstr(folder.file("bad.toml") + ":2:1: error: "));
  EXPECT_FALSE(std::filesystem::exists(folder.file("r.json")));
}

TEST(Check, DoesNotOverwriteWhatItReads) {
  const TemporaryFolder folder;
  ASSERT_EQ(launch({"demo", folder.file("demo")}).status, 0);
  const std::string scene = folder.file("demo/barn-35.toml");
  const std::string before = read_file(scene);
  ASSERT_NE(before, "");
  EXPECT_EQ(launch({"check", scene, "--json", folder.file("demo/../demo/barn-35.toml")}).status, 2);
  EXPECT_EQ(launch({"check", scene, "--json", folder.file("x"), "--picture", folder.file("x")}).status, 2);
  EXPECT_EQ(read_file(scene), before);
}

TEST(Check, ReportsAFileThatCannotBeWrittenAndKeepsTheOld) {
  const TemporaryFolder folder;
  const Outcome full = launch({"check", "--json", "/dev/full"});
  EXPECT_EQ(full.status, 2);
  EXPECT_THAT(full.err, HasSubstr("/dev/full"));
  const Outcome nowhere = launch({"check", "--picture", folder.file("no/such/folder/p.svg")});
  EXPECT_EQ(nowhere.status, 2);
  EXPECT_THAT(nowhere.err, HasSubstr("p.svg"));
  EXPECT_EQ(folder.count_files(), 0U);
}

TEST(Check, ReportsAFullDiskBehindStandardOutput) {
  Launch what;
  what.arguments = {"check"};
  what.out_file = "/dev/full";
  const Outcome outcome = launch(what);
  EXPECT_EQ(outcome.status, 2);
  EXPECT_THAT(outcome.err, HasSubstr("standard output"));
}

TEST(Check, KeepsQuietWhenTheReaderGoesAway) {
  Launch what;
  what.arguments = {"check"};
  what.close_out = true;
  const Outcome outcome = launch(what);
  EXPECT_TRUE(is_answer(outcome.status)) << outcome.status;
  EXPECT_THAT(outcome.err, Not(HasSubstr("rror")));
}

TEST(Check, SendsNoEscapeCodesToAPipe) {
  const Outcome outcome = launch({"check"});
  EXPECT_THAT(outcome.out + outcome.err, Not(HasSubstr("\033")));
}

Outcome check_on_terminal(const std::vector<std::string>& environment, int columns = 120) {
  Launch what;
  what.arguments = {"check"};
  what.environment = environment;
  what.on_terminal = true;
  what.columns = columns;
  return launch(what);
}

TEST(Check, ColoursATerminal) {
  EXPECT_THAT(check_on_terminal({"TERM=xterm-256color", "NO_COLOR"}).out, HasSubstr("\033["));
}

TEST(Check, RespectsNoColorAndDumbTerminals) {
  EXPECT_THAT(check_on_terminal({"TERM=xterm-256color", "NO_COLOR=1"}).out, Not(HasSubstr("\033")));
  EXPECT_THAT(check_on_terminal({"TERM=dumb", "NO_COLOR"}).out, Not(HasSubstr("\033")));
}

TEST(Check, EndsWith130WhenInterruptedWhileItReads) {
  const TemporaryFolder folder;
  ASSERT_EQ(mkfifo(folder.file("scene.toml").c_str(), 0600), 0);  // nobody writes: reading waits
  Launch what;
  what.arguments = {"check", folder.file("scene.toml"), "--json", folder.file("r.json")};
  what.after_start = [](int pid) {
    std::this_thread::sleep_for(std::chrono::milliseconds(500));
    kill(pid, SIGINT);
  };
  EXPECT_EQ(launch(what).status, 130);
  EXPECT_EQ(folder.count_files(), 1U);
}

TEST(Check, EndsWith130AndWritesNothingWhenInterruptedWhileItSolves) {
  const TemporaryFolder folder;
  ASSERT_EQ(launch({"demo", folder.file("demo")}).status, 0);
  // 200 moves, the most that a scene may have: every move of the example again and again under new names.
  std::string text = read_file(folder.file("demo/barn-35.toml"));
  const std::size_t first = text.find("[[move]]");
  ASSERT_NE(first, std::string::npos);
  const std::size_t second = std::min(text.find("[[move]]", first + 1), text.size());
  const std::string move = text.substr(first, second - first);
  text.erase(first);
  for (int i = 0; i < 200; ++i) {
    std::string copy = move;
    const std::size_t name = copy.find("name = \"");
    ASSERT_NE(name, std::string::npos);
    copy.insert(name + 8, std::to_string(i) + " ");
    text += copy;
  }
  write_file(folder.file("demo/many.toml"), text);
  Launch what;
  what.arguments = {"check", folder.file("demo/many.toml"), "--json", folder.file("r.json")};
  what.after_start = [](int pid) {
    std::this_thread::sleep_for(std::chrono::milliseconds(120));
    kill(pid, SIGINT);
  };
  const Outcome outcome = launch(what);
  EXPECT_EQ(outcome.status, 130) << outcome.err;
  EXPECT_FALSE(std::filesystem::exists(folder.file("r.json")));
  EXPECT_EQ(folder.count_files(), 1U);
}

// Every example scene with every example climber: the record read back and recomputed from its JSON alone.
class ExampleRecord : public testing::TestWithParam<std::tuple<std::string, std::string>> {};

std::vector<std::string> find_files(const std::string& folder) {
  std::vector<std::string> files;
  for (const auto& entry : std::filesystem::directory_iterator(std::string(STEEPWRIGHT_SOURCE_DIR) + "/" + folder)) {
    if (entry.path().extension() == ".toml") files.push_back(entry.path().string());
  }
  std::sort(files.begin(), files.end());
  return files;
}

TEST_P(ExampleRecord, KeepsItsOwnInvariants) {
  const auto& [scene, climber] = GetParam();
  const Outcome outcome = launch({"check", scene, "--climber", climber, "--json", "-"});
  ASSERT_TRUE(is_answer(outcome.status)) << outcome.err;
  EXPECT_THAT(check_record(nlohmann::json::parse(outcome.out)), IsEmpty());
}

INSTANTIATE_TEST_SUITE_P(All, ExampleRecord,
                         testing::Combine(testing::ValuesIn(find_files("scenes/demo")),
                                          testing::ValuesIn(find_files("models/climbers"))),
                         [](const auto& pair) {
                           std::string name = std::filesystem::path(std::get<0>(pair.param)).stem().string() + "_" +
                                              std::filesystem::path(std::get<1>(pair.param)).stem().string();
                           std::replace_if(
                               name.begin(), name.end(), [](char letter) { return std::isalnum(letter) == 0; }, '_');
                           return name;
                         });

TEST(Demo, WritesFilesThatCheckAccepts) {
  const TemporaryFolder folder;
  const Outcome outcome = launch({"demo", folder.file("mine")});
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  EXPECT_THAT(outcome.out, HasSubstr("steepwright check "));
  EXPECT_TRUE(is_answer(launch({"check", folder.file("mine/barn-35.toml")}).status));
}

TEST(Demo, KeepsWhatIsThere) {
  const TemporaryFolder folder;
  std::filesystem::create_directory(folder.file("mine"));
  write_file(folder.file("mine/barn-35.toml"), "my own");
  const Outcome outcome = launch({"demo", folder.file("mine")});
  EXPECT_EQ(outcome.status, 0);
  EXPECT_EQ(read_file(folder.file("mine/barn-35.toml")), "my own");
  EXPECT_THAT(outcome.out, HasSubstr("kept"));
}

TEST(Demo, RefusesAFolderThatCannotBeMade) {
  const TemporaryFolder folder;
  write_file(folder.file("taken"), "");
  EXPECT_EQ(launch({"demo", folder.file("taken")}).status, 2);
}

}  // namespace
}  // namespace steepwright::tests
