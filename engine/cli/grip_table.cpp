#include "engine/cli/grip_table.h"

#include "engine/cli/climber.h"
#include "engine/cli/columns.h"
#include "engine/cli/hold_inventory.h"
#include "engine/core/units.h"
#include "engine/grip/pulleys.h"
#include "engine/hold/profile.h"
#include "engine/io/quantities.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace steepwright::cli {

namespace {

constexpr int kGripColumns = 24;
constexpr int kPullColumns = 8;
/// Angles closer than this are the same, rad: far below what is printed.
constexpr double kSameAngle = 1e-9;
/// A pinch along its lip is told for a hand that leans out this much: straight along it, the set's cone holds nothing.
constexpr double kLipPull = rad_from_deg(10.0);

std::string describe_site(const hold::Site& site) {
  const std::string lip =
      site.lip_radius_m > 0.0 ? fmt::format("lip radius {} mm", show_mm(site.lip_radius_m)) : std::string("sharp lip");
  const std::string mouth = site.mouth_m > 0.0 ? fmt::format(", mouth {} mm", show_mm(site.mouth_m)) : std::string();
  return fmt::format("{} mm deep at {} deg incut, {}{}{}, {} mm wide", show_mm(site.depth_m), show_deg(site.incut), lip,
                     hold::has_straight_floor(site) ? "" : " that leaves no straight floor", mouth,
                     show_mm(site.width_m));
}

std::string describe_forearm(double asked, double used) {
  std::string text = fmt::format("forearm {} deg", show_deg(asked));
  if (std::abs(used - asked) > kSameAngle) text += fmt::format(" (computed at {} deg)", show_deg(used));
  const double used_deg = deg_from_rad(used);
  if (used_deg < 1.0) return text + ": the elbow hangs below the hold";
  if (used_deg > 91.0) return text + ": the elbow is above the hold";
  return text + (used_deg > 89.0 ? ": straight out from the hold" : ": the elbow is below and out from the hold");
}

std::string show_force(const std::optional<double>& force_N) { return force_N ? fmt::format("{:.0f}", *force_N) : "-"; }

std::string format_capacity_row(const grip::SurveyedGrip& grip) {
  std::string row = pad(name_of(grip.grip), kGripColumns);
  for (const int pull_deg : grip::kSurveyPulls_deg)
    row += pad_left(show_force(grip::find_held_force(grip.set, rad_from_deg(pull_deg))), kPullColumns);
  row += fmt::format("{:>7.0f} deg", deg_from_rad(grip::find_held_pulls(grip.set).upper));
  row += pad_left(grip.lead ? io::show_percent(*grip.lead) : "-", 10);
  return row + "\n";
}

std::string describe_pinch(const grip::SurveyedGrip& pinch) {
  const Vec3 along_lip(std::cos(kLipPull), std::sin(kLipPull), 0.0);
  return fmt::format(
      "pinch: thumb and fingers squeeze, so it also holds pulls straight out ({:.0f} N) and along the lip ({:.0f} N, "
      "leaning out by {:.0f} deg)\n",
      grip::find_capacity_along(pinch.set, 0.5 * kPi), 1.0 / find_capacity_use(pinch.set, along_lip),
      deg_from_rad(kLipPull));
}

std::string show_range(const grip::ForceRange& force) {
  return fmt::format("{:.0f} to {:.0f}", force.lower_N, force.upper_N);
}

std::string format_finger_row(grip::Digit digit, const grip::FingerSearch::Along& along) {
  const grip::PulleyLoads pulleys = grip::find_pulley_loads(along.posture, along.load);
  return fmt::format("{:<8}{:>7.0f}   {:>4.0f} {:>4.0f} {:>4.0f}   {:>8.0f} {:>8.0f}   {:>10} {:>10}   {:>7.0f} %\n",
                     grip::name_of(digit), along.force_N, deg_from_rad(along.posture.dip),
                     deg_from_rad(along.posture.pip), deg_from_rad(along.mcp), along.load.deep_N,
                     along.load.superficial_N, show_range(pulleys.a2), show_range(pulleys.a4),
                     100.0 * along.load.friction_used);
}

/// The caution about single fingers of a crimp; "" when none is that much loaded.
std::string describe_loaded_fingers(Grip grip, const grip::HandAlong& hand) {
  if (!grip::is_crimp(grip)) return "";
  std::string fingers;
  for (const grip::Digit digit : grip::kDigits) {
    const auto& finger = hand.fingers[grip::index_of(digit)];
    if (!finger || finger->force_N < grip::kCautionForce_N) continue;
    fingers += fmt::format("{}{} {:.0f} N", fingers.empty() ? "" : ", ", grip::name_of(digit), finger->force_N);
  }
  if (fingers.empty()) return "";
  return fmt::format(
      "caution: {} in a crimp: more than {:.0f} N, half of what crimping cadaver fingers bore at failure; "
      "no safe limit",
      fingers, grip::kCautionForce_N);
}

}  // namespace

std::string format_grip_heading(const io::GripReport& report, double asked_forearm, const Terminal& terminal) {
  const grip::Survey& survey = report.survey;
  std::string text = bold(make_printable(fmt::format("{}, {}", report.hold, survey.site.name)), terminal) + "\n";
  text += wrap_lines(fmt::format("{}; {}, mu {:.2f} +/- {:.2f} {}", describe_site(survey.site),
                                 hold::name_of(survey.site.surface), survey.friction.hand_mu,
                                 survey.friction.hand_mu_sd, report.hand.is_chalked ? "with chalk" : "without chalk"),
                     terminal);
  text +=
      wrap_lines(make_printable(fmt::format("{}, hand {:.0f} mm, {}", report.climber, mm_from_m(report.hand_length_m),
                                            show_edge_force(report.hand.strength))),
                 terminal);
  text += wrap_lines(describe_forearm(asked_forearm, survey.forearm_swing), terminal);
  const std::string unmet = describe_unmet_reference(report.hand);
  if (!unmet.empty()) text += wrap_lines("note: " + unmet, terminal);
  return text + "\n";
}

std::string format_capacities(const io::GripReport& report, const Terminal& terminal) {
  const grip::Survey& survey = report.survey;
  if (survey.grips.empty()) return "";
  std::string text = "most force in N, for pulls leaning outward from straight onto the floor\n";
  text += pad("grip", kGripColumns);
  for (const int pull_deg : grip::kSurveyPulls_deg) text += pad_left(fmt::format("{} deg", pull_deg), kPullColumns);
  text += pad_left("holds to", 11) + pad_left("lead", 10) + "\n";
  for (const grip::SurveyedGrip& grip : survey.grips) text += format_capacity_row(grip);
  text += wrap_lines(fmt::format("-: friction does not hold it. lead: over the next grip, at {:.0f} deg",
                                 deg_from_rad(survey.judgement.outward - survey.lean)),
                     terminal);
  for (const grip::SurveyedGrip& grip : survey.grips) {
    if (grip.grip == Grip::kPinch) text += wrap_lines(describe_pinch(grip), terminal);
  }
  const auto& forced = survey.judgement.forced;
  const std::string verdict =
      forced ? fmt::format("forces: {}, {}", name_of(*forced), survey.judgement.forced_reason) : "forces no grip";
  return text + wrap_lines(verdict, terminal) + "\n";
}

std::string format_fingers(const grip::SurveyedGrip& grip, double pull, const Terminal& terminal) {
  const std::string title = fmt::format("single fingers in {}, pull {} deg", name_of(grip.grip), show_deg(pull));
  if (grip.grip == Grip::kPinch) {
    return wrap_lines(title + ": a pinch's fingers press against the thumb; their own loads are not computed",
                      terminal) +
           "\n";
  }
  const auto at = std::find_if(grip.fingers.begin(), grip.fingers.end(), [pull](const grip::FingersAlong& each) {
    return std::abs(each.pull - pull) < kSameAngle;
  });
  if (at == grip.fingers.end()) {
    const grip::AngleRange held = grip::find_held_pulls(grip.set);
    return wrap_lines(fmt::format("{}: friction does not hold it, only {:.0f} to {:.0f} deg", title,
                                  deg_from_rad(held.lower), deg_from_rad(held.upper)),
                      terminal) +
           "\n";
  }
  std::string text = fmt::format("{}, together {:.0f} N\n", title, at->hand.force_N);
  text +=
      "          force    DIP  PIP  MCP       deep superfic.           A2         A4   friction\n"
      "finger        N   flexion in deg    tendon N tendon N     pulley N   pulley N    used up\n";
  for (const grip::Digit digit : grip::kDigits) {
    const auto& finger = at->hand.fingers[grip::index_of(digit)];
    if (finger) text += format_finger_row(digit, *finger);
  }
  const std::string caution = describe_loaded_fingers(grip.grip, at->hand);
  return text + (caution.empty() ? "" : wrap_lines(caution, terminal)) + "\n";
}

std::string format_shut(const io::GripReport& report, const Terminal& terminal) {
  std::string text;
  for (const grip::GripVerdict& verdict : report.survey.judgement.grips) {
    if (verdict.is_possible) continue;
    text += list_below(pad(name_of(verdict.grip), kGripColumns), verdict.reason, terminal);
  }
  return text.empty() ? "" : "not possible here\n" + text + "\n";
}

}  // namespace steepwright::cli
