#include "engine/grip/judge.h"

#include "engine/core/units.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace steepwright::grip {

namespace {

constexpr double kOutwardShare = 0.6;
/// A grip that holds less than this share of the person's reference force is none.
constexpr double kLeastShare = 0.03;
/// Flesh gives this much where a finger enters a mouth (both sides together, assumed), m.
constexpr double kMouthGive_m = 0.002;

/// Grips that bend the fingers alike: a lead over the same form with fewer fingers forces nothing.
enum class Form { kOpen, kBent, kPinch, kPalm, kWrapped };
Form form_of(Grip grip) {
  switch (grip) {
    case Grip::kHalfCrimp:
    case Grip::kThreeFingerHalfCrimp:
    case Grip::kFullCrimp:
      return Form::kBent;
    case Grip::kPinch:
      return Form::kPinch;
    case Grip::kSloperPalm:
      return Form::kPalm;
    case Grip::kJug:
      return Form::kWrapped;
    default:
      return Form::kOpen;
  }
}

std::string join(const std::vector<std::string>& names) {
  std::string text;
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (i > 0) text += i + 1 == names.size() ? " and " : ", ";
    text += names[i];
  }
  return text;
}

/// Fingers of the grip that do not enter the mouth.
std::string why_mouth_is_shut(const hold::Site& site, Grip grip, const Hand& hand) {
  const std::array<bool, 4> digits = find_digits(site, grip, Pair::kMiddleRing);
  std::vector<std::string> fit;
  std::vector<std::string> stay_out;
  double thickest_m = 0.0;
  for (const Digit digit : kDigits) {
    if (!digits[index_of(digit)]) continue;
    const double thickness_m = find_thickness(hand.fingers[index_of(digit)]);
    auto& list = thickness_m - kMouthGive_m <= site.mouth_m ? fit : stay_out;
    list.emplace_back(name_of(digit));
    thickest_m = std::max(thickest_m, thickness_m);
  }
  if (stay_out.empty()) return "";
  if (fit.empty()) {
    return fmt::format("mouth {:.3g} mm: no finger fits, they are up to {:.3g} mm thick", mm_from_m(site.mouth_m),
                       mm_from_m(thickest_m));
  }
  return fmt::format("mouth {:.3g} mm: {} {}, {} {} not", mm_from_m(site.mouth_m), join(fit),
                     fit.size() == 1 ? "fits" : "fit", join(stay_out), stay_out.size() == 1 ? "does" : "do");
}

std::string why_width_is_shut(const hold::Site& site, Grip grip, const Hand& hand) {
  const std::array<bool, 4> digits = find_digits(site, grip, Pair::kMiddleRing);
  double needed_m = 0.0;
  for (const Digit digit : kDigits) {
    if (digits[index_of(digit)]) needed_m += hand.fingers[index_of(digit)].breadth_m;
  }
  // Fingers side by side press into each other.
  constexpr double kSideGive = 0.9;
  if (kSideGive * needed_m <= site.width_m) return "";
  return fmt::format("width {:.3g} mm: these {} fingers need {:.3g} mm", mm_from_m(site.width_m),
                     std::count(digits.begin(), digits.end(), true), mm_from_m(kSideGive * needed_m));
}

std::string percent_more(double more) { return fmt::format("{:.0f} % more", 100.0 * more); }

void find_forced(GripJudgement& judgement) {
  std::vector<const GripVerdict*> possible;
  for (const GripVerdict& verdict : judgement.grips) {
    if (verdict.is_possible) possible.push_back(&verdict);
  }
  if (possible.empty()) return;
  const GripVerdict& best = *possible.front();
  const auto other = std::find_if(possible.begin(), possible.end(), [&](const GripVerdict* verdict) {
    return form_of(verdict->grip) != form_of(best.grip);
  });
  if (other == possible.end()) {
    judgement.forced = best.grip;
    judgement.forced_reason =
        possible.size() == 1 ? "no other grip is possible" : "no other way of bending the fingers is possible";
    return;
  }
  const double lead = best.outward_N / std::max(1.0, (*other)->outward_N) - 1.0;
  if (lead < kForcedLead) return;
  judgement.forced = best.grip;
  judgement.forced_reason = fmt::format("holds {} than {} pulling {:.0f} deg outward", percent_more(lead),
                                        name_of((*other)->grip), deg_from_rad(judgement.outward));
}

}  // namespace

double find_thickness(const Finger& finger) { return (1.0 + kBackOfPad) * finger.pad_m; }

std::string why_not(const hold::Site& site, Grip grip, const Hand& hand) {
  const auto shut = std::find_if(site.shut_grips.begin(), site.shut_grips.end(),
                                 [grip](const hold::ShutGrip& entry) { return entry.grip == grip; });
  if (shut != site.shut_grips.end()) return shut->reason;
  if (site.mouth_m > 0.0) {
    std::string reason = why_mouth_is_shut(site, grip, hand);
    if (!reason.empty()) return reason;
  }
  return why_width_is_shut(site, grip, hand);
}

GripJudgement judge_grips(const hold::Site& site, double forearm_swing, CapacityCache& hands) {
  GripJudgement judgement;
  const Hand& hand = hands.hand();
  judgement.outward = kOutwardShare * std::atan(find_mu(site, hand));
  const double lean = find_bearing_lean(hold::make_outline(site));
  for (const Grip grip : kGrips) {
    GripVerdict verdict;
    verdict.grip = grip;
    verdict.reason = why_not(site, grip, hand);
    if (verdict.reason.empty()) {
      const CapacitySet& set = hands.find(site, grip, forearm_swing);
      verdict.down_N = find_capacity_along(set, -lean);
      verdict.outward_N = find_capacity_along(set, judgement.outward - lean);
      if (std::max(verdict.down_N, verdict.outward_N) < kLeastShare * hand.strength.edge_force_N) {
        verdict.reason = fmt::format("holds only {:.0f} N here", std::max(verdict.down_N, verdict.outward_N));
      }
    }
    verdict.is_possible = verdict.reason.empty();
    judgement.grips.push_back(std::move(verdict));
  }
  std::stable_sort(judgement.grips.begin(), judgement.grips.end(), [](const GripVerdict& a, const GripVerdict& b) {
    return std::pair(a.is_possible, a.outward_N) > std::pair(b.is_possible, b.outward_N);
  });
  find_forced(judgement);
  return judgement;
}

}  // namespace steepwright::grip
