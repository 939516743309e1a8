#include "engine/grip/survey.h"

#include "engine/core/units.h"

#include <algorithm>
#include <cmath>

namespace steepwright::grip {

AngleRange find_held_pulls(const CapacitySet& set) {
  const double middle = std::atan2(set.normal.y(), set.normal.z());
  const double half = std::atan(set.mu);
  return {middle - half, middle + half};
}

std::optional<double> find_held_force(const CapacitySet& set, double angle) {
  const double force_N = find_capacity_along(set, angle);
  return force_N > 0.0 ? std::optional(force_N) : std::nullopt;
}

Survey calc_survey(const hold::Site& site, double forearm_swing, CapacityCache& hands) {
  Survey survey;
  survey.site = site;
  survey.forearm_swing = round_to_forearm_bin(forearm_swing);
  survey.friction = hold::friction_of(site.surface, hands.hand().is_chalked);
  survey.lean = find_bearing_lean(hold::make_outline(site));
  survey.judgement = judge_grips(site, survey.forearm_swing, hands);
  for (const GripVerdict& verdict : survey.judgement.grips) {
    if (!verdict.is_possible) continue;
    SurveyedGrip grip;
    grip.grip = verdict.grip;
    grip.set = hands.find(site, verdict.grip, survey.forearm_swing);
    grip.outward_N = verdict.outward_N;
    survey.grips.push_back(std::move(grip));
  }
  for (std::size_t i = 0; i + 1 < survey.grips.size(); ++i) {
    const double next_N = survey.grips[i + 1].outward_N;
    if (next_N > 0.0) survey.grips[i].lead = survey.grips[i].outward_N / next_N - 1.0;
  }
  return survey;
}

void add_fingers(const Survey& survey, const Hand& hand, double pull, FingerSearch& search, SurveyedGrip& grip) {
  if (grip.grip == Grip::kPinch || !find_held_force(grip.set, pull)) return;
  const HandTask task{&survey.site, grip.grip, &hand, survey.forearm_swing};
  grip.fingers.push_back({pull, calc_hand_along(task, pull, search)});
}

bool is_crimp(Grip grip) {
  return grip == Grip::kHalfCrimp || grip == Grip::kThreeFingerHalfCrimp || grip == Grip::kFullCrimp;
}

}  // namespace steepwright::grip
