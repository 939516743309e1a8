// Holds as a user makes and lists them.

#include "tests/cli/process.h"
#include "tests/support/mesh_reader.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <sstream>

namespace steepwright::tests {
namespace {

using testing::Contains;
using testing::HasSubstr;
using testing::IsEmpty;
using testing::Not;
using testing::StartsWith;

using Arguments = std::vector<std::string>;

Arguments edge_of(const std::string& out) {
  return {"hold", "make",    "--family", "edge",    "--width", "120",          "--height", "40",    "--protrusion",
          "20",   "--depth", "20",       "--incut", "0",       "--lip-radius", "4",        "--out", out};
}

TEST(HoldMake, WritesAHoldOfTheInventoryInEveryFormat) {
  const TemporaryFolder folder;
  for (const char* suffix : {".stl", ".obj", ".ply", ".glb"}) {
    const std::string file = folder.file(std::string("trio") + suffix);
    const Outcome outcome = launch({"hold", "make", "soft trio", "--out", file});
    EXPECT_EQ(outcome.status, 0) << outcome.err;
    EXPECT_THAT(outcome.err, IsEmpty());
    for (const char* text : {"soft trio", "80 x 140 x 40 mm", "triangles", "kg/m^3", "no source", "18 mm deep at 4 deg",
                             "three-finger open"})
      EXPECT_THAT(outcome.out, HasSubstr(text));
    EXPECT_THAT(outcome.out, HasSubstr(file));
  }
  EXPECT_EQ(folder.count_files(), 4U);
  const hold::Mesh glb = read_glb(read_file(folder.file("trio.glb"))).mesh;
  EXPECT_TRUE(hold::check_watertight(glb).empty());
  const hold::Mesh stl = read_binary_stl(read_file(folder.file("trio.stl")));
  EXPECT_NEAR(hold::calc_volume(stl), 1e9 * hold::calc_volume(glb), 1.0) << "mm^3 and m^3";
}

TEST(HoldMake, WritesAHoldGivenByItsDimensions) {
  const TemporaryFolder folder;
  const Outcome outcome = launch(edge_of(folder.file("e.stl")));
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  const hold::Mesh mesh = read_binary_stl(read_file(folder.file("e.stl")));
  EXPECT_NEAR(hold::calc_bounds(mesh).upper.x(), 60.0, 1e-4);
  EXPECT_NEAR(hold::calc_bounds(mesh).upper.z(), 20.0, 1e-4);
}

TEST(HoldMake, SaysWhenTheRoundingTakesTheFloor) {
  const TemporaryFolder folder;
  Arguments arguments = edge_of(folder.file("e.stl"));
  EXPECT_THAT(launch(arguments).out, Not(HasSubstr("no straight floor")));
  std::replace(arguments.begin(), arguments.end(), std::string("4"), std::string("25"));
  const Outcome outcome = launch(arguments);
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  EXPECT_THAT(outcome.out, HasSubstr("lip radius 25 mm, 120 mm wide\n  the rounding leaves no straight floor\n"));
}

TEST(HoldMake, WritesTextStlOnRequest) {
  const TemporaryFolder folder;
  Arguments arguments = edge_of(folder.file("e.STL"));
  arguments.push_back("--ascii");
  EXPECT_EQ(launch(arguments).status, 0);
  EXPECT_THAT(read_file(folder.file("e.STL")), StartsWith("solid edge\n"));
}

TEST(HoldMake, WritesTheWholeInventory) {
  const TemporaryFolder folder;
  const Outcome outcome = launch({"hold", "make", "--all", folder.file("new/meshes"), "--format", "obj"});
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  EXPECT_THAT(read_file(folder.file("new/meshes/three-finger-slot.obj")), HasSubstr("o three-finger slot\n"));
}

TEST(HoldMake, TakesAnInventoryOfItsOwn) {
  const TemporaryFolder folder;
  write_file(folder.file("own.toml"),
             "steepwright_inventory = 1\nname = \"own\"\n[[shape]]\nname = \"shelf\"\nfamily = \"edge\"\n"
             "width_mm = 90\nheight_mm = 50\nprotrusion_mm = 30\ndepth_mm = 30\nincut_deg = 0\nlip_radius_mm = 2\n");
  EXPECT_EQ(
      launch({"hold", "make", "shelf", "--inventory", folder.file("own.toml"), "--out", folder.file("s.ply")}).status,
      0);
  EXPECT_EQ(launch({"hold", "make", "thin rim", "--inventory", folder.file("own.toml"), "--out", folder.file("t.ply")})
                .status,
            2);
  EXPECT_THAT(launch({"hold", "list", "--inventory", folder.file("own.toml")}).out, HasSubstr("shelf"));
}

struct BadCall {
  Arguments arguments;
  std::string message;
};

class BadHoldMake : public testing::TestWithParam<BadCall> {};

TEST_P(BadHoldMake, EndsWithTwoAndSaysWhatIsAllowed) {
  const TemporaryFolder folder;
  Arguments arguments = {"hold", "make"};
  for (const std::string& argument : GetParam().arguments)
    arguments.push_back(argument.find("OUT") == 0 ? folder.file("out" + argument.substr(3)) : argument);
  const Outcome outcome = launch(arguments);
  EXPECT_EQ(outcome.status, 2);
  EXPECT_THAT(outcome.out, IsEmpty());
  EXPECT_THAT(outcome.err, StartsWith("steepwright: "));
  EXPECT_THAT(outcome.err, HasSubstr(GetParam().message));
  EXPECT_EQ(folder.count_files(), 0U) << "nothing is written";
}

Arguments dimensions(Arguments more) {
  Arguments all = {"--width", "120", "--height", "40", "--protrusion", "20", "--depth", "20", "--out", "OUT.stl"};
  all.insert(all.end(), more.begin(), more.end());
  return all;
}

INSTANTIATE_TEST_SUITE_P(
    All, BadHoldMake,
    testing::Values(
        BadCall{{"soft tiro", "--out", "OUT.stl"}, "has no hold 'soft tiro'; did you mean 'soft trio'?"},
        BadCall{{"soft trio"}, "--out is missing"},
        BadCall{{"soft trio", "--out", "OUT.dwg"}, "unknown suffix .dwg; allowed are .stl, .obj, .ply and .glb"},
        BadCall{{"soft trio", "--out", "OUT"}, "has no suffix"},
        BadCall{{"soft trio", "--out", "OUT.glb", "--ascii"}, "--ascii is for .stl files only"},
        BadCall{{"soft trio", "--out", "OUT.glb", "--depth", "20"}, "not from both"},
        BadCall{{"soft trio", "--out", "OUT.glb", "--format", "stl"}, "--format is for --all"},
        BadCall{{"--all", "OUT", "--out", "OUT.glb"}, "--all takes no NAME"},
        BadCall{{"--all", "OUT", "--format", "dwg"}, "allowed are stl, obj, ply and glb"},
        BadCall{{"--out", "OUT.glb"}, "--family is missing"},
        BadCall{dimensions({"--family", "egde"}), "there is no family 'egde'; did you mean 'edge'?"},
        BadCall{dimensions({"--family", "edge", "--surface", "butter"}), "surfaces are 'raw wood'"},
        BadCall{{"--family", "edge", "--out", "OUT.stl", "--width", "100"}, "--height is missing; give it in mm"},
        BadCall{dimensions({"--family", "pocket"}), "--mouth is missing"},
        BadCall{dimensions({"--family", "edge", "--incut", "nan"}), "--incut: "},
        BadCall{dimensions({"--family", "edge", "--incut", "80"}), "allowed is -15 to 45 deg"},
        BadCall{dimensions({"--family", "edge", "--mouth", "20"}), "--mouth: 20 mm: an edge has no such dimension"},
        BadCall{dimensions({"--family", "edge", "--fingers", "3"}), "--fingers: "},
        BadCall{dimensions({"--family", "edge", "--depth", "deep"}), "--depth"},
        BadCall{dimensions({"--family", "edge", "--lip-radius", "29.5", "--incut", "40"}), "--lip-radius: "}));

TEST(HoldMake, LeavesTheOldFileWhenItFails) {
  const TemporaryFolder folder;
  write_file(folder.file("e.stl"), "precious");
  Arguments arguments = edge_of(folder.file("e.stl"));
  arguments.insert(arguments.end(), {"--surface", "butter"});
  EXPECT_EQ(launch(arguments).status, 2);
  EXPECT_EQ(read_file(folder.file("e.stl")), "precious");
  EXPECT_EQ(launch(edge_of(folder.file("no-such-folder/e.stl"))).status, 2);
  EXPECT_EQ(folder.count_files(), 1U);
}

TEST(HoldMake, DoesNotWriteToADeviceOrOverItsInventory) {
  const TemporaryFolder folder;
  std::filesystem::create_symlink("/dev/full", folder.file("full.stl"));
  const Outcome outcome = launch(edge_of(folder.file("full.stl")));
  EXPECT_EQ(outcome.status, 2);
  EXPECT_THAT(outcome.err, HasSubstr("not a regular file"));
  write_file(folder.file("own.obj"), "steepwright_inventory = 1\nname = \"own\"\n");
  const Outcome over =
      launch({"hold", "make", "x", "--inventory", folder.file("own.obj"), "--out", folder.file("own.obj")});
  EXPECT_EQ(over.status, 2);
  EXPECT_THAT(over.err, HasSubstr("would be overwritten"));
}

TEST(HoldList, NamesHoldsDimensionsSitesAndGrips) {
  const Outcome outcome = launch({"hold", "list"});
  EXPECT_EQ(outcome.status, 0);
  EXPECT_THAT(outcome.err, IsEmpty());
  for (const char* text :
       {"soft trio", "pocket", "three-finger open", "left flank", "foot chip", "for feet only", "forces", "possible"})
    EXPECT_THAT(outcome.out, HasSubstr(text));
  EXPECT_THAT(outcome.out, Not(HasSubstr("shut")));
  std::istringstream lines(outcome.out);
  for (std::string line; std::getline(lines, line);) EXPECT_LE(line.size(), 100U) << line;
}

TEST(HoldList, TellsWhyGripsAreShut) {
  const Outcome outcome = launch({"hold", "list", "--why"});
  EXPECT_EQ(outcome.status, 0);
  EXPECT_THAT(outcome.out, HasSubstr("full crimp: "));
  EXPECT_THAT(outcome.out, HasSubstr("the palm does not enter a pocket"));
}

TEST(HoldList, PrintsJson) {
  const auto json = nlohmann::json::parse(launch({"hold", "list", "--json"}).out);
  const auto& holds = json["holds"];
  EXPECT_GE(holds.size(), 26U);
  const auto trio =
      std::find_if(holds.begin(), holds.end(), [](const auto& hold) { return hold["name"] == "soft trio"; });
  ASSERT_NE(trio, holds.end());
  const auto& site = (*trio)["sites"][0];
  EXPECT_EQ(site["depth_mm"], 18.0);
  EXPECT_EQ(site["incut_deg"], 4.0);
  EXPECT_THAT(site["grips"], Contains("three-finger open"));
  EXPECT_EQ(site["strengths"].size(), site["grips"].size());
  double stronger_N = site["strengths"][0]["outward_N"];
  for (const auto& strength : site["strengths"]) {
    EXPECT_LE(strength["outward_N"].get<double>(), stronger_N) << "strongest first";
    stronger_N = strength["outward_N"];
  }
  EXPECT_EQ(site["forced"].is_null(), site["forced_reason"] == "");
  EXPECT_EQ(site["grips"].size() + site["shut"].size(), 9U);
}

TEST(HoldList, TellsWhatAGripIsForcedBy) {
  EXPECT_THAT(launch({"hold", "list"}).out, HasSubstr("two-finger open: no other grip is possible"));
}

TEST(HoldList, JudgesForTheClimberThatIsGiven) {
  const TemporaryFolder folder;
  const std::string text =
      "steepwright_climber = 1\nname = \"me\"\nsex = \"female\"\nstature_mm = 1600\nmass_kg = 55\n[fingers]\n"
      "edge_force_N = 300\nedge_depth_mm = 15\n";
  write_file(folder.file("me.toml"), text);
  const Outcome outcome = launch({"hold", "list", "--climber", folder.file("me.toml")});
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  EXPECT_THAT(outcome.out, HasSubstr("me, 300 N on a 15 mm edge (measured)"));
  EXPECT_NE(outcome.out, launch({"hold", "list"}).out);
  const Outcome bad = launch({"hold", "list", "--climber", "no-such.toml"});
  EXPECT_EQ(bad.status, 2);
  EXPECT_THAT(bad.out, IsEmpty());
}

TEST(HoldList, RefusesABadInventory) {
  const Outcome outcome = launch({"hold", "list", "--inventory", "no-such-file.toml"});
  EXPECT_EQ(outcome.status, 2);
  EXPECT_THAT(outcome.err, HasSubstr("no-such-file.toml"));
  EXPECT_THAT(outcome.out, IsEmpty());
}

TEST(HoldCommands, ReportAFullDiskAndBearAClosedPipe) {
  const TemporaryFolder folder;
  for (const Arguments& arguments : {Arguments{"hold", "list"}, edge_of(folder.file("e.stl"))}) {
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

TEST(HoldCommands, AreNamedWhenOneIsMistypedOrLeftOut) {
  const Outcome typo = launch({"hold", "mkae"});
  EXPECT_EQ(typo.status, 2);
  EXPECT_THAT(typo.err, HasSubstr("there is no command 'mkae' after 'hold'; did you mean 'make'?"));
  EXPECT_THAT(typo.err, HasSubstr("See: steepwright hold --help"));
  EXPECT_THAT(launch({"hold"}).err, HasSubstr("no command is given after 'hold'"));
  EXPECT_THAT(launch({"hold", "make", "--no-such"}).err, HasSubstr("See: steepwright hold make --help"));
}

TEST(HoldCommands, HaveHelpOfTheirOwn) {
  EXPECT_THAT(launch({"hold", "make", "--help"}).out, HasSubstr("Usage: steepwright hold make"));
  EXPECT_THAT(launch({"hold", "list", "--help"}).out, HasSubstr("Usage: steepwright hold list"));
}

}  // namespace
}  // namespace steepwright::tests
