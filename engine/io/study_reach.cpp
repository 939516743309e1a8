#include "engine/io/study_reach.h"

#include "engine/core/units.h"
#include "engine/figure/cautions.h"
#include "engine/io/captions.h"
#include "engine/io/study_rows.h"

#include <fmt/format.h>

#include <cmath>
#include <iterator>

namespace steepwright::io {

namespace {

constexpr double kPerMillimetre = 10.0;
constexpr double kPerShare = 1e4;

Json millimetres(double length_m) { return to_json_number(mm_from_m(length_m), kPerMillimetre); }

const wall::Strip& strip_of(const ReachReport& report, int strip) {
  return report.scene->wall.strips[static_cast<std::size_t>(strip)];
}

/// "right shoulder abduction" -> "right shoulder": which way the torque points is not kept.
std::string find_joint(const std::string& hinge) {
  const std::size_t first = hinge.find(' ');
  const bool has_side = hinge.starts_with("left ") || hinge.starts_with("right ");
  const std::size_t end = has_side ? hinge.find(' ', first + 1) : first;
  return hinge.substr(0, end);
}

Json make_place(const ReachReport& report, const study::ReachPlace& place) {
  Json json = {{"strip", strip_of(report, place.strip).name},
               {"across_mm", millimetres(place.across_m)},
               {"up_mm", millimetres(place.up_m)},
               {"held", place.is_held},
               {"effort", to_json_number(place.effort, kPerShare)},
               {"margin_mm", millimetres(place.margin_m)}};
  if (report.question.hold) json["settled_effort"] = to_json_number(place.settled_effort, kPerShare);
  if (!place.is_held) json["cause"] = describe_cause(report, place);
  return json;
}

}  // namespace

std::string describe_asked(const ReachReport& report) {
  const std::string limb(long_name(report.question.moving));
  if (!report.question.hold) return limb + " on the bare wall";
  const auto& grip = report.question.hold->grip;
  return grip ? fmt::format("{} with {} on '{}'", limb, name_of(*grip), report.hold_name)
              : fmt::format("{} on '{}'", limb, report.hold_name);
}

std::string describe_cause(const ReachReport& report, const study::ReachPlace& place) {
  const std::string joint =
      place.limit_hinge < 0 ? ""
                            : find_joint(report.body->tree.hinges[static_cast<std::size_t>(place.limit_hinge)].name);
  return describe_cause(place.cause, place.limit_limb, joint);
}

Json make_reach_record(const ReachReport& report) {
  Json places = Json::array();
  for (const study::ReachPlace& place : report.map.places) places.push_back(make_place(report, place));
  Json border = Json::array();
  for (const study::BorderSegment& segment : report.map.border) {
    border.push_back({{"strip", strip_of(report, segment.strip).name},
                      {"across_mm", {millimetres(segment.across_m[0]), millimetres(segment.across_m[1])}},
                      {"up_mm", {millimetres(segment.up_m[0]), millimetres(segment.up_m[1])}}});
  }
  Json cautions = Json::array();
  for (const std::string_view caution : figure::kCautions) cautions.push_back(caution);
  return {{"reach_map", 1},
          {"scene", report.scene->name},
          {"climber", report.scene->climber.measures.name},
          {"asked", describe_asked(report)},
          {"pitch_mm", millimetres(report.map.pitch_m)},
          {"border_pitch_mm", millimetres(report.map.fine_m)},
          {"complete", report.map.is_complete},
          {"stances_solved", report.map.n_solved},
          {"places", std::move(places)},
          {"border", std::move(border)},
          {"cautions", std::move(cautions)}};
}

std::string format_reach_csv(const ReachReport& report) {
  std::string text = "strip,across_mm,up_mm,held,effort,settled_effort,margin_mm,cause\n";
  const auto number = [](double value) { return std::isfinite(value) ? fmt::format("{:.4f}", value) : std::string(); };
  for (const study::ReachPlace& place : report.map.places) {
    fmt::format_to(std::back_inserter(text), "{},{:.1f},{:.1f},{},{},{},{},{}\n",
                   quote_csv(strip_of(report, place.strip).name), mm_from_m(place.across_m), mm_from_m(place.up_m),
                   place.is_held ? 1 : 0, number(place.effort),
                   report.question.hold ? number(place.settled_effort) : std::string(),
                   number(mm_from_m(place.margin_m)), describe_cause(report, place));
  }
  return text;
}

}  // namespace steepwright::io
