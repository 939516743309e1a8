// The record read back as any other program would read it: tests/support/record_check.h recomputes every claim from the
// JSON alone, and each rule is shown to catch a record that breaks it.

#include "engine/io/record.h"

#include "tests/support/record_check.h"
#include "tests/support/stick_scene.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <functional>
#include <limits>
#include <string>

namespace steepwright::tests {
namespace {

using Json = nlohmann::json;
using testing::Contains;
using testing::HasSubstr;
using testing::IsEmpty;

Json read_back() {
  const StickCase made = make_stick_case();
  return Json::parse(io::format_record(made.scene, made.body, made.results));
}

Json& held_frame(Json& record) { return record["moves"][0]["frames"][3]; }

TEST(Record, KeepsItsOwnInvariants) { EXPECT_THAT(check_record(read_back()), IsEmpty()); }

TEST(Record, HasTheKeysThatOtherProgramsRead) {
  const Json record = read_back();
  EXPECT_EQ(record["record"], 1);
  EXPECT_EQ(record["climber"]["segments"].size(), 15U);
  for (const char* key : {"name", "origin_m", "across", "up", "normal", "width_m", "length_m"})
    EXPECT_TRUE(record["wall"]["strips"][0].contains(key)) << key;
  for (const char* key : {"name", "verdict", "cause", "shortfall", "effort_peak", "lower_hand", "slip_risk", "frames"})
    EXPECT_TRUE(record["moves"][0].contains(key)) << key;
  for (const char* key : {"phase", "t", "com_m", "joints", "segment_coms", "contacts", "joint_torques", "effort",
                          "mu_needed_factor", "held", "residual_N", "residual_Nm"})
    EXPECT_TRUE(record["moves"][0]["frames"][0].contains(key)) << key;
  for (const char* key :
       {"limb", "hold", "site", "grip", "point_m", "normal", "mu", "force_N", "points", "cone", "capacity",
        "capacity_use", "slip_margin_deg", "slip_off_margin_deg", "slips_off_by", "lip", "mu_used"})
    EXPECT_TRUE(record["moves"][0]["frames"][0]["contacts"][0].contains(key)) << key;
}

TEST(Record, ConeOfAFootHasAtLeastSixteenEdges) {
  const Json record = read_back();
  EXPECT_GE(record["moves"][0]["frames"][0]["contacts"][2]["cone"].size(), 16U);
}

TEST(Record, WritesNullWhereNoFactorOnFrictionHelps) {
  const Json record = read_back();
  EXPECT_TRUE(record["moves"][1]["frames"][2]["mu_needed_factor"].is_null());
}

TEST(Record, NamesTheShortfallOnlyWhereThereIsOne) {
  const Json record = read_back();
  EXPECT_THAT(record["moves"][0]["shortfall"], IsEmpty());
  EXPECT_DOUBLE_EQ(record["moves"][1]["shortfall"]["reach_mm"].get<double>(), 234.0);
  EXPECT_FALSE(record["moves"][1]["frames"][2]["held"].get<bool>());
}

TEST(Record, KeepsTheUpperArmAsLongAsTheBodyHasIt) {
  // 310 mm in make_stick_body.
  const Json record = read_back();
  for (const Json& segment : record["climber"]["segments"]) {
    if (segment["name"] != "left upper arm") continue;
    EXPECT_NEAR(segment["length_mm"].get<double>(), 310.0, 1e-6);
  }
}

TEST(Record, SurvivesNamesThatAreNotUtf8) {
  StickCase made = make_stick_case();
  made.scene.name = "a\xFF\"b";
  EXPECT_TRUE(Json::accept(io::format_record(made.scene, made.body, made.results)));
}

TEST(Record, IsTheSameTextEachTime) {
  const StickCase made = make_stick_case();
  EXPECT_EQ(io::format_record(made.scene, made.body, made.results),
            io::format_record(made.scene, made.body, made.results));
}

/// A way to break a record, and what the check says then.
struct Corruption {
  std::string name;
  std::function<void(Json&)> apply;
  std::string message;
};

void PrintTo(const Corruption& corruption, std::ostream* out) { *out << corruption.name; }

class CorruptRecord : public testing::TestWithParam<Corruption> {};

TEST_P(CorruptRecord, IsFound) {
  Json record = read_back();
  GetParam().apply(record);
  EXPECT_THAT(check_record(record), Contains(HasSubstr(GetParam().message)));
}

void scale(Json& list, double factor) {
  for (Json& entry : list) entry = entry.get<double>() * factor;
}

const std::vector<Corruption>& corruptions() {
  static const std::vector<Corruption> kCorruptions = {
      {"ForceOutOfBalance",
       [](Json& r) {
         scale(held_frame(r)["contacts"][0]["force_N"], 1.1);
         scale(held_frame(r)["contacts"][0]["points"][0]["force_N"], 1.1);
       },
       "forces and weight leave"},
      {"MomentOutOfBalance",
       [](Json& r) {
         Json& contact = held_frame(r)["contacts"][2];
         contact["point_m"][0] = contact["point_m"][0].get<double>() + 0.05;
         contact["points"][0]["point_m"] = contact["point_m"];
       },
       "moments about the centre of mass leave"},
      {"SumNotOfPoints", [](Json& r) { scale(held_frame(r)["contacts"][0]["force_N"], 1.1); }, "sum over its points"},
      {"FrictionTooSmall", [](Json& r) { held_frame(r)["contacts"][1]["mu"] = 0.05; }, "leaves the Coulomb cone"},
      {"ConeTurned",
       [](Json& r) {
         for (Json& generator : held_frame(r)["contacts"][1]["cone"]) scale(generator, -1.0);
       },
       "cone of generators"},
      {"ConeEmpty", [](Json& r) { held_frame(r)["contacts"][1]["cone"] = Json::array(); }, "cone is empty"},
      {"CapacityTooSmall", [](Json& r) { held_frame(r)["contacts"][0]["capacity"][0]["b_N"] = 20.0; },
       "capacity is exceeded"},
      {"CapacityUseWrong", [](Json& r) { held_frame(r)["contacts"][0]["capacity_use"] = 0.01; }, "capacity_use is not"},
      {"MuUsedWrong", [](Json& r) { held_frame(r)["contacts"][0]["mu_used"] = 0.5; }, "mu_used is not"},
      {"SlipMarginTooWide", [](Json& r) { held_frame(r)["contacts"][0]["slip_margin_deg"] = 80.0; },
       "slip_margin_deg is larger"},
      {"SlipOffMarginTooWide", [](Json& r) { held_frame(r)["contacts"][0]["slip_off_margin_deg"] = 80.0; },
       "slip_off_margin_deg is above"},
      {"SlipOffMarginTooNarrow", [](Json& r) { held_frame(r)["contacts"][0]["slip_off_margin_deg"] = 0.1; },
       "friction does not end"},
      {"SlipOffByStrengthWithRoom", [](Json& r) { held_frame(r)["contacts"][0]["slips_off_by"] = "strength"; },
       "the capacity does not end"},
      {"CapacityEndsBeforeTheMargin",
       [](Json& r) {
         Json& contact = held_frame(r)["contacts"][0];
         contact["slips_off_by"] = "strength";
         contact["capacity"].push_back({{"a", {0.0, 1.0, 0.0}}, {"b_N", 40.0}});
       },
       "the capacity ends before"},
      {"JointOverLimit", [](Json& r) { held_frame(r)["joint_torques"]["left forearm"]["Nm"] = -90.0; }, "left forearm"},
      {"EffortAboveOne", [](Json& r) { held_frame(r)["effort"] = 1.2; }, "effort above 1"},
      {"EffortAboveUse", [](Json& r) { held_frame(r)["effort"] = 0.9; }, "above the largest use"},
      {"FrictionNeeded", [](Json& r) { held_frame(r)["mu_needed_factor"] = nullptr; }, "more friction is needed"},
      {"BoneStretched",
       [](Json& r) {
         Json& joint = held_frame(r)["joints"]["left forearm"];
         joint[2] = joint[2].get<double>() + 0.01;
       },
       "bone left upper arm to left forearm"},
      {"CentreOfMassOff",
       [](Json& r) {
         Json& com = held_frame(r)["segment_coms"]["thorax"];
         com[1] = com[1].get<double>() + 0.02;
       },
       "com_m is off"},
      {"HeadInsideTheWall",
       [](Json& r) {
         for (auto& [name, joint] : held_frame(r)["joints"].items()) joint[1] = joint[1].get<double>() + 1.5;
       },
       "inside the wall"},
      {"MassesMissing", [](Json& r) { r["climber"]["segments"].erase(0); }, "segment masses sum"},
      {"VerdictAgainstFrames", [](Json& r) { r["moves"][1]["verdict"] = "static"; }, "although a frame does not hold"},
      {"ResidualHidden",
       [](Json& r) {
         Json& frame = r["moves"][1]["frames"][2];
         frame["residual_N"] = 40.0;
       },
       "residual_N is not"},
      {"KeyMissing", [](Json& r) { held_frame(r).erase("held"); }, "cannot be read"}};
  return kCorruptions;
}

INSTANTIATE_TEST_SUITE_P(Rules, CorruptRecord, testing::ValuesIn(corruptions()),
                         [](const testing::TestParamInfo<Corruption>& rule) { return rule.param.name; });

}  // namespace
}  // namespace steepwright::tests
