#include "engine/cli/risk_table.h"

#include "engine/cli/columns.h"
#include "engine/core/units.h"
#include "engine/io/quantities.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

namespace steepwright::cli {

namespace {

constexpr std::size_t kMostFrames = 5;
constexpr std::size_t kMostFailures = 5;
constexpr int kGrip = 25, kVerdict = 11, kEffort = 7, kMargin = 8, kSamePulls = 13, kUse = 7, kLoad = 7, kReach = 9,
              kFinger = 6;

constexpr const char* kMarginNote =
    "margin: degrees that the pull may still swing, at its load, before the skin slips or, outward over the lip, the "
    "fingers open; the least of the frames in which the hand carries. same pulls: the same if it were to hold what the "
    "move with its own grip asks";

/// One decimal below 10 %: one draw of a thousand shows.
std::string percent_of_draws(double share) { return fmt::format("{:.{}f} %", 100.0 * share, share < 0.1 ? 1 : 0); }

std::string describe_spreads(const move::RiskSpreads& spreads) {
  return fmt::format(
      "assumed spreads (standard deviations, all can be set): friction {:.0f} %, fingers {:.0f} %, muscles {:.0f} %, "
      "masses of trunk, arms and legs {:.0f} %, places of contacts {:.1f} mm, their normals {:.1f}\u00B0; postures "
      "kept",
      100.0 * spreads.friction, 100.0 * spreads.fingers, 100.0 * spreads.joints, 100.0 * spreads.build,
      mm_from_m(spreads.place_m), deg_from_rad(spreads.tilt));
}

/// Frames that fail most often, in order of time; none where nothing fails.
std::vector<std::size_t> find_frames_at_risk(const move::MoveRisk& risk) {
  std::vector<std::size_t> order(risk.frames.size());
  std::iota(order.begin(), order.end(), 0U);
  std::stable_sort(order.begin(), order.end(), [&risk](std::size_t a, std::size_t b) {
    return risk.frames[a].fail_share > risk.frames[b].fail_share;
  });
  order.resize(std::min(order.size(), kMostFrames));
  std::erase_if(order, [&risk](std::size_t i) { return risk.frames[i].fail_share <= 0.0; });
  std::sort(order.begin(), order.end());
  return order;
}

std::string format_frame_risk(const move::MoveResult& result, const move::MoveRisk& risk, std::size_t i) {
  const move::Frame& frame = result.frames[i];
  const move::FrameRisk& at = risk.frames[i];
  std::string line = pad(fmt::format("  {} {:.2f}", move::name_of(frame.phase), frame.t), 18);
  line += pad(percent_of_draws(at.fail_share) + " fail", 14);
  if (frame.has_posture)
    line += fmt::format("effort {} to {}", io::show_percent(at.effort.low), io::show_percent(at.effort.high));
  if (result.lower_hand) {
    const auto& margin = at.slip_off_margin[index_of(*result.lower_hand)];
    if (margin)
      line += fmt::format(", {} slip-off margin {} to {}", short_name(*result.lower_hand),
                          io::show_degrees(margin->low), io::show_degrees(margin->high));
  }
  return line + "\n";
}

std::string format_compared(const move::ComparedGrip& grip, Limb limb, const Terminal& terminal) {
  std::string line = grip.is_own ? ">" : " ";
  line += pad(name_of(grip.grip), kGrip) + pad(move::name_of(grip.verdict), kVerdict);
  const bool is_met = move::are_contacts_met(grip.cause);
  line += pad_left(is_met ? io::show_percent(grip.effort_peak) : "-", kEffort);
  line += pad_left(grip.slip_off ? io::show_degrees(grip.slip_off->margin) : "-", kMargin);
  const std::string use = pad_left(grip.use_peak ? io::show_percent(*grip.use_peak) : "-", kUse);
  line += grip.use_peak ? on_use_colour(use, *grip.use_peak, terminal) : use;
  line += pad_left(grip.slip_off_same_pulls ? io::show_slip_off(*grip.slip_off_same_pulls, limb) : "-", kSamePulls);
  line += pad_left(fmt::format("{:.0f} N", grip.load_peak_N), kLoad);
  line += pad_left(grip.reach_gain_m ? fmt::format("{:+.0f} mm", mm_from_m(*grip.reach_gain_m)) : "-", kReach);
  for (const auto& finger_N : grip.fingers_N)
    line += pad_left(finger_N ? fmt::format("{:.0f}", *finger_N) : "-", kFinger);
  return line + "\n";
}

}  // namespace

std::string format_risk(const move::MoveResult& result, const move::MoveRisk& risk, const Terminal& terminal) {
  std::string text =
      bold(fmt::format("risk: {} of {} draws fail", percent_of_draws(risk.fail_share), risk.draws), terminal) +
      fmt::format(" (seed {})\n", risk.seed);
  for (std::size_t i = 0; i < std::min(risk.failures.size(), kMostFailures); ++i)
    text +=
        fmt::format("  {} first: {}\n", pad_left(percent_of_draws(risk.failures[i].share), 6), risk.failures[i].limit);
  const std::vector<std::size_t> frames = find_frames_at_risk(risk);
  if (!frames.empty()) text += "frames that fail most, with what 90 % of the draws lie between:\n";
  for (const std::size_t i : frames) text += format_frame_risk(result, risk, i);
  return text + wrap_lines(describe_spreads(risk.spreads), terminal);
}

std::string format_comparison(const move::GripComparison& comparison, const Terminal& terminal) {
  const std::string where = comparison.is_target ? "at its target" : "the lower hand";
  std::string text = bold(fmt::format("grips of the {} on '{}', {}, {}", long_name(comparison.limb),
                                      make_printable(comparison.hold), make_printable(comparison.site), where),
                          terminal) +
                     "\n";
  text += " " + pad("grip", kGrip) + pad("move", kVerdict) + pad_left("effort", kEffort) + pad_left("margin", kMargin) +
          pad_left("use", kUse) + pad_left("same pulls", kSamePulls) + pad_left("load", kLoad) +
          pad_left("reach", kReach);
  for (const char* finger : {"index", "mid.", "ring", "lit."}) text += pad_left(finger, kFinger);
  text += " N\n";
  for (const move::ComparedGrip& grip : comparison.grips) text += format_compared(grip, comparison.limb, terminal);
  text += wrap_lines(kMarginNote, terminal);
  if (comparison.shut.empty()) return text;
  std::string shut = "not possible there: ";
  for (std::size_t i = 0; i < comparison.shut.size(); ++i)
    shut += fmt::format("{}{} ({})", i == 0 ? "" : "; ", name_of(comparison.shut[i].grip), comparison.shut[i].reason);
  return text + wrap_lines(shut, terminal);
}

}  // namespace steepwright::cli
