#include "engine/io/trace_record.h"

#include "engine/core/units.h"

#include <algorithm>
#include <string>

namespace steepwright::io {

namespace {

constexpr double kPerShare = 1e6;
constexpr double kPerDegree = 1e4;
constexpr double kPerNewton = 1e3;
constexpr double kPerMillimetre = 1e3;
constexpr double kPerMetre = 1e6;
constexpr double kPerDirection = 1e6;

Json share(double value) { return to_json_number(value, kPerShare); }
Json degrees(double angle) { return to_json_number(deg_from_rad(angle), kPerDegree); }
Json limb_or_null(const std::optional<Limb>& limb) { return limb ? Json(short_name(*limb)) : Json(nullptr); }

Json make_spreads(const move::RiskSpreads& spreads) {
  return {{"friction", share(spreads.friction)},
          {"fingers", share(spreads.fingers)},
          {"joints", share(spreads.joints)},
          {"build", share(spreads.build)},
          {"place_mm", to_json_number(mm_from_m(spreads.place_m), kPerMillimetre)},
          {"tilt_deg", degrees(spreads.tilt)}};
}

Json make_risk(const move::MoveRisk& risk) {
  Json failures = Json::array();
  for (const move::FirstFailure& failure : risk.failures) {
    failures.push_back(
        {{"limit", failure.limit}, {"limb", limb_or_null(failure.limb)}, {"share", share(failure.share)}});
  }
  return {{"draws", risk.draws},
          {"seed", risk.seed},
          {"spreads_assumed", make_spreads(risk.spreads)},
          {"fail_share", share(risk.fail_share)},
          {"first_failures", std::move(failures)}};
}

/// 5th, 50th and 95th percentile by limb.
template <std::size_t n>
Json make_margin_bands(const std::array<std::optional<move::RiskBand>, n>& bands) {
  Json margins = Json::object();
  for (std::size_t limb = 0; limb < n; ++limb) {
    const auto& band = bands[limb];
    if (band)
      margins[std::string(short_name(kLimbs[limb]))] =
          Json::array({degrees(band->low), degrees(band->middle), degrees(band->high)});
  }
  return margins;
}

Json make_frame_risk(const move::FrameRisk& risk) {
  return {{"fail_share", share(risk.fail_share)},
          {"effort", Json::array({share(risk.effort.low), share(risk.effort.middle), share(risk.effort.high)})},
          {"slip_margin_deg", make_margin_bands(risk.slip_margin)},
          {"slip_off_margin_deg", make_margin_bands(risk.slip_off_margin)}};
}

Json make_compared(const move::ComparedGrip& grip) {
  Json fingers = Json::array();
  for (const auto& finger_N : grip.fingers_N)
    fingers.push_back(finger_N ? to_json_number(*finger_N, kPerNewton) : Json());
  return {
      {"grip", name_of(grip.grip)},
      {"own", grip.is_own},
      {"verdict", move::name_of(grip.verdict)},
      {"cause", move::name_of(grip.cause)},
      {"cause_text", grip.cause_text},
      {"effort_peak", share(grip.effort_peak)},
      {"slip_margin_deg", grip.slip_margin ? degrees(*grip.slip_margin) : Json()},
      {"slip_off_margin_deg", grip.slip_off ? degrees(grip.slip_off->margin) : Json()},
      {"slips_off_by", grip.slip_off ? Json(name_of_end(*grip.slip_off)) : Json()},
      {"slip_off_margin_same_pulls_deg", grip.slip_off_same_pulls ? degrees(grip.slip_off_same_pulls->margin) : Json()},
      {"capacity_use_same_pulls", grip.use_same_pulls ? share(*grip.use_same_pulls) : Json()},
      {"capacity_use", grip.use_peak ? share(*grip.use_peak) : Json()},
      {"load_N", to_json_number(grip.load_peak_N, kPerNewton)},
      {"fingers_N", std::move(fingers)},
      {"reach_gain_mm", grip.reach_gain_m ? to_json_number(mm_from_m(*grip.reach_gain_m), kPerMillimetre) : Json()}};
}

Json make_comparison(const move::GripComparison& comparison) {
  Json grips = Json::array();
  for (const move::ComparedGrip& grip : comparison.grips) grips.push_back(make_compared(grip));
  Json shut = Json::array();
  for (const auto& grip : comparison.shut) shut.push_back({{"grip", name_of(grip.grip)}, {"reason", grip.reason}});
  return {{"limb", short_name(comparison.limb)},
          {"at", comparison.is_target ? "target" : "lower hand"},
          {"hold", comparison.hold},
          {"site", comparison.site},
          {"grips", std::move(grips)},
          {"shut", std::move(shut)}};
}

Json make_foot_choice(const move::FootChoice& choice) {
  return {{"places", choice.places},
          {"given", choice.is_given},
          {"verdict", move::name_of(choice.result.verdict)},
          {"effort_peak", share(choice.result.effort_peak)},
          {"foot_share", share(choice.foot_share)},
          {"reason", choice.reason}};
}

/// mm, degrees or a share, by the key's end.
Json make_remedy(const move::RemedyResult& result) {
  const bool is_angle = result.remedy == move::Remedy::kLessOverhang || result.remedy == move::Remedy::kMoreIncut;
  const bool is_share = result.remedy == move::Remedy::kMoreFriction || result.remedy == move::Remedy::kStrongerFingers;
  const auto show = [&](double amount) {
    return is_angle ? degrees(amount) : is_share ? share(amount) : to_json_number(mm_from_m(amount), kPerMillimetre);
  };
  const std::string unit = is_angle ? "deg" : is_share ? "share" : "mm";
  Json json = {{"remedy", move::name_of(result.remedy)}};
  json["amount_" + unit] = result.amount ? show(*result.amount) : Json();
  json["largest_tried_" + unit] = show(result.largest);
  if (result.amount && result.remedy == move::Remedy::kTargetCloser) {
    json["across_mm"] = to_json_number(mm_from_m(result.across_m), kPerMillimetre);
    json["up_mm"] = to_json_number(mm_from_m(result.up_m), kPerMillimetre);
  }
  if (!result.hold.empty()) json["hold"] = result.hold;
  json["effort_peak_then"] = result.effort_peak ? share(*result.effort_peak) : Json();
  return json;
}

template <typename Items, typename Make>
Json make_list(const Items& items, Make&& make) {
  Json list = Json::array();
  for (const auto& item : items) list.push_back(make(item));
  return list;
}

Json list_limbs(const std::vector<Limb>& limbs) {
  Json list = Json::array();
  for (const Limb limb : limbs) list.push_back(short_name(limb));
  return list;
}

Json vector(const Vec3& v, double steps_per_unit) {
  return Json::array({to_json_number(v.x(), steps_per_unit), to_json_number(v.y(), steps_per_unit),
                      to_json_number(v.z(), steps_per_unit)});
}

Json make_lower_hand(const move::LowerHandState& hand) {
  return {{"com_above_hold_mm", to_json_number(mm_from_m(hand.com_above_hold_m), kPerMillimetre)},
          {"load_N", to_json_number(hand.force_N, kPerNewton)},
          {"pull", vector(hand.pull_W, kPerDirection)},
          {"pull_swing_deg", degrees(hand.pull_swing)},
          {"forearm", vector(hand.forearm_W, kPerDirection)},
          {"forearm_swing_deg", degrees(hand.forearm_swing)},
          {"capacity_use", share(hand.capacity_use)},
          {"slip_margin_deg", degrees(hand.slip_margin)},
          {"slip_off_margin_deg", degrees(hand.slip_off.margin)},
          {"slips_off_by", name_of_end(hand.slip_off)},
          {"read_from", hand.set_name}};
}

Json make_peaks(const move::MovePeaks& peaks) {
  Json limbs = Json::object();
  for (const Limb limb : kLimbs) {
    const move::MovePeaks::OfLimb& of = peaks.limbs[index_of(limb)];
    if (of.capacity_frame < 0) continue;
    limbs[std::string(short_name(limb))] = {
        {"capacity_use", share(of.capacity_use)},
        {"capacity_frame", of.capacity_frame},
        {"slip_margin_deg", of.slip_frame < 0 ? Json() : degrees(of.slip_margin)},
        {"slip_frame", of.slip_frame < 0 ? Json() : Json(of.slip_frame)},
        {"slip_off_margin_deg", of.slip_off_frame < 0 ? Json() : degrees(of.slip_off.margin)},
        {"slip_off_frame", of.slip_off_frame < 0 ? Json() : Json(of.slip_off_frame)}};
  }
  return {{"effort", share(peaks.effort)},
          {"effort_frame", peaks.effort_frame < 0 ? Json() : Json(peaks.effort_frame)},
          {"limbs", std::move(limbs)}};
}

}  // namespace

void add_trace(const move::MoveResult& result, Json& move) {
  move["deciding_frame"] = result.deciding_frame < 0 ? Json() : Json(result.deciding_frame);
  move["peaks"] = make_peaks(result.peaks);
  Json& frames = move.at("frames");
  for (std::size_t i = 0; i < std::min(frames.size(), result.frames.size()); ++i) {
    const move::Frame& frame = result.frames[i];
    if (!frame.cut_loose.empty()) frames[i]["cut_loose"] = list_limbs(frame.cut_loose);
    if (!frame.hanging.empty()) frames[i]["hanging"] = list_limbs(frame.hanging);
    if (frame.p_Wmoving) frames[i]["moving_m"] = vector(*frame.p_Wmoving, kPerMetre);
    if (frame.lower_hand) frames[i]["lower_hand"] = make_lower_hand(*frame.lower_hand);
    Json& contacts = frames[i].at("contacts");
    for (std::size_t c = 0; c < std::min(contacts.size(), frame.contacts.size()); ++c)
      contacts[c]["load_share"] = share(frame.contacts[c].load_share);
  }
}

void add_extras(const MoveExtras& extras, Json& move) {
  if (extras.follows) {
    move["follows"] = *extras.follows;
    move["crux"] = extras.is_crux;
  }
  if (extras.risk) {
    move["slip_risk"] = share(extras.risk->fail_share);
    move["risk"] = make_risk(*extras.risk);
    Json& frames = move.at("frames");
    for (std::size_t i = 0; i < std::min(frames.size(), extras.risk->frames.size()); ++i)
      frames[i]["risk"] = make_frame_risk(extras.risk->frames[i]);
  }
  if (!extras.grips.empty()) move["grip_comparisons"] = make_list(extras.grips, make_comparison);
  if (!extras.feet.empty()) move["feet"] = make_list(extras.feet, make_foot_choice);
  if (extras.cut_loose)
    move["holds_with_cut_loose"] = {{"feet", list_limbs(extras.cut_loose->feet)},
                                    {"from_start", extras.cut_loose->is_from_start},
                                    {"effort_peak", share(extras.cut_loose->effort_peak)}};
  if (!extras.remedies.empty()) move["remedies"] = make_list(extras.remedies, make_remedy);
}

}  // namespace steepwright::io
