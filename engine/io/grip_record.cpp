#include "engine/io/grip_record.h"

#include "engine/core/units.h"
#include "engine/figure/cautions.h"
#include "engine/grip/pulleys.h"
#include "engine/io/atomic_file.h"
#include "engine/io/json_text.h"

namespace steepwright::io {

namespace {

constexpr double kPerNewton = 1e4;
constexpr double kPerNewtonMetre = 1e5;
constexpr double kPerUnit = 1e9;
constexpr double kPerShare = 1e6;
constexpr double kPerDegree = 1e6;
constexpr double kPerMillimetre = 1e3;

Json newtons(double force_N) { return to_json_number(force_N, kPerNewton); }
Json degrees(double angle) { return to_json_number(deg_from_rad(angle), kPerDegree); }
Json millimetres(double length_m) { return to_json_number(mm_from_m(length_m), kPerMillimetre); }
Json range(const grip::ForceRange& force) { return Json::array({newtons(force.lower_N), newtons(force.upper_N)}); }

Json vector(const Vec3& v) {
  return Json::array(
      {to_json_number(v.x(), kPerUnit), to_json_number(v.y(), kPerUnit), to_json_number(v.z(), kPerUnit)});
}

Json make_site(const hold::Site& site, double lean) {
  return {{"name", site.name},
          {"depth_mm", millimetres(site.depth_m)},
          {"incut_deg", degrees(site.incut)},
          {"lip_radius_mm", millimetres(site.lip_radius_m)},
          {"mouth_mm", millimetres(site.mouth_m)},
          {"width_mm", millimetres(site.width_m)},
          {"fingers", site.fingers},
          {"surface", hold::name_of(site.surface)},
          {"bearing_lean_deg", degrees(lean)}};
}

Json make_climber(const GripReport& report) {
  const grip::FingerStrength& strength = report.hand.strength;
  return {{"name", report.climber},
          {"hand_length_mm", millimetres(report.hand_length_m)},
          {"edge_force_N", newtons(strength.edge_force_N)},
          {"edge_depth_mm", millimetres(strength.edge_depth_m)},
          {"edge_grip", name_of(strength.edge_grip)},
          {"edge_force_measured", strength.is_measured},
          {"edge_force_reached", report.hand.is_reference_met},
          {"flexors_N", newtons(report.hand.flexor_N)},
          {"chalk", report.hand.is_chalked}};
}

Json make_finger(grip::Digit digit, const grip::FingerSearch::Along& along) {
  const grip::PulleyLoads pulleys = grip::find_pulley_loads(along.posture, along.load);
  return {{"finger", grip::name_of(digit)},
          {"force_N", newtons(along.force_N)},
          {"dip_deg", degrees(along.posture.dip)},
          {"pip_deg", degrees(along.posture.pip)},
          {"mcp_deg", degrees(along.mcp)},
          {"pitch_deg", degrees(along.posture.pitch)},
          {"withdrawal_mm", millimetres(along.posture.withdrawal)},
          {"deep_N", newtons(along.load.deep_N)},
          {"superficial_N", newtons(along.load.superficial_N)},
          {"thumb_N", newtons(along.load.thumb_N)},
          {"passive_dip_Nm", to_json_number(along.load.passive_dip_Nm, kPerNewtonMetre)},
          {"a2_pulley_N", range(pulleys.a2)},
          {"a4_pulley_N", range(pulleys.a4)},
          {"friction_used", to_json_number(along.load.friction_used, kPerShare)}};
}

Json make_fingers(const grip::FingersAlong& at) {
  Json fingers = Json::array();
  for (const grip::Digit digit : grip::kDigits) {
    const auto& finger = at.hand.fingers[grip::index_of(digit)];
    if (finger) fingers.push_back(make_finger(digit, *finger));
  }
  return {{"pull_deg", degrees(at.pull)}, {"together_N", newtons(at.hand.force_N)}, {"fingers", std::move(fingers)}};
}

Json make_grip(const grip::SurveyedGrip& grip) {
  Json capacities = Json::array();
  for (const int pull_deg : grip::kSurveyPulls_deg) {
    const auto force_N = grip::find_held_force(grip.set, rad_from_deg(pull_deg));
    capacities.push_back({{"pull_deg", pull_deg}, {"capacity_N", force_N ? newtons(*force_N) : Json(nullptr)}});
  }
  Json bounds = Json::array();
  for (const HalfSpace& bound : grip.set.bounds)
    bounds.push_back({{"a", vector(bound.a)}, {"b_N", newtons(bound.b_N)}});
  Json fingers = Json::array();
  for (const grip::FingersAlong& at : grip.fingers) fingers.push_back(make_fingers(at));
  const grip::AngleRange held = grip::find_held_pulls(grip.set);
  return {{"grip", name_of(grip.grip)},
          {"capacities", std::move(capacities)},
          {"outward_N", newtons(grip.outward_N)},
          {"lead", grip.lead ? to_json_number(*grip.lead, kPerShare) : Json(nullptr)},
          {"least_pull_deg", degrees(held.lower)},
          {"largest_pull_deg", degrees(held.upper)},
          {"normal", vector(grip.set.normal)},
          {"mu", to_json_number(grip.set.mu, kPerUnit)},
          {"bounds", std::move(bounds)},
          {"finger_loads", std::move(fingers)}};
}

}  // namespace

nlohmann::ordered_json make_grip_record(const GripReport& report) {
  const grip::Survey& survey = report.survey;
  Json grips = Json::array();
  for (const grip::SurveyedGrip& grip : survey.grips) grips.push_back(make_grip(grip));
  Json shut = Json::array();
  for (const grip::GripVerdict& verdict : survey.judgement.grips) {
    if (!verdict.is_possible) shut.push_back({{"grip", name_of(verdict.grip)}, {"reason", verdict.reason}});
  }
  Json cautions = Json::array();
  for (const std::string_view caution : figure::kCautions) cautions.push_back(caution);
  const auto& forced = survey.judgement.forced;
  return {{"grip_record", kGripRecordVersion},
          {"hold", report.hold},
          {"family", hold::name_of(report.family)},
          {"site", make_site(survey.site, survey.lean)},
          {"mu", to_json_number(survey.friction.hand_mu, kPerShare)},
          {"mu_sd", to_json_number(survey.friction.hand_mu_sd, kPerShare)},
          {"climber", make_climber(report)},
          {"forearm_deg", degrees(survey.forearm_swing)},
          {"outward_pull_deg", degrees(survey.judgement.outward - survey.lean)},
          {"forced", forced ? Json(name_of(*forced)) : Json(nullptr)},
          {"forced_reason", survey.judgement.forced_reason},
          {"grips", std::move(grips)},
          {"shut", std::move(shut)},
          {"cautions", std::move(cautions)}};
}

std::string format_grip_record(const GripReport& report) { return format_json(make_grip_record(report)); }

Result<void> save_grip_record(const std::string& path, const GripReport& report) {
  return save_atomically(path, format_grip_record(report));
}

}  // namespace steepwright::io
