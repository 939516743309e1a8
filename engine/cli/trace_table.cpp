#include "engine/cli/trace_table.h"

#include "engine/cli/columns.h"
#include "engine/core/units.h"
#include "engine/io/quantities.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace steepwright::cli {

namespace {

constexpr int kPhase = 9, kT = 4, kCom = 5, kEffort = 6, kContact = 10, kNarrowestLimit = 12;

/// "77 %  12°", "placed" while it carries nothing, "" while it is in the air.
std::string show_contact(const move::Frame& frame, Limb limb, const Terminal& terminal) {
  const move::ContactResult* contact = frame.find_contact(limb);
  if (contact == nullptr) return std::string(kContact, ' ');
  if (!contact->is_loaded) return pad_left("placed", kContact);
  if (!frame.has_posture) return pad_left("-", kContact);
  const std::string use =
      on_use_colour(pad_left(io::show_percent(contact->capacity_use), 5), contact->capacity_use, terminal);
  return use + pad_left(contact->f_C_W.norm() < move::kCarries_N ? "-" : io::show_degrees(contact->slip_off.margin),
                        kContact - 5);
}

std::string describe_limit(const move::Frame& frame) {
  if (!frame.has_posture) return std::string(move::name_of(frame.cause)) + ": " + frame.limit;
  return frame.is_held ? frame.limit : std::string(move::name_of(frame.cause)) + ": " + frame.limit;
}

std::string format_frame(const move::Frame& frame, bool decides, int limit_columns, const Terminal& terminal) {
  std::string line = decides ? ">" : " ";
  line += pad(move::name_of(frame.phase), kPhase) + pad_left(fmt::format("{:.2f}", frame.t), kT) + " ";
  line += pad_left(fmt::format("{:.0f}", mm_from_m(frame.p_Wcm.z())), kCom) + " ";
  const std::string effort = pad_left(frame.has_posture ? io::show_percent(frame.effort) : "-", kEffort);
  line += frame.has_posture ? on_use_colour(effort, frame.effort, terminal) : effort;
  for (const Limb limb : kLimbs) line += " " + show_contact(frame, limb, terminal);
  const std::vector<std::string> limit = wrap(make_printable(describe_limit(frame)), limit_columns);
  const std::size_t indent =
      static_cast<std::size_t>(1 + kPhase + kT + 1 + kCom + 1 + kEffort + 4 * (kContact + 1) + 2);
  for (std::size_t i = 0; i < limit.size(); ++i)
    line += i == 0 ? "  " + limit[i] : "\n" + std::string(indent, ' ') + limit[i];
  return line + "\n";
}

std::string show_instant(const move::Frame& frame) {
  return fmt::format("{} {:.2f}", move::name_of(frame.phase), frame.t);
}

std::string format_limb_peaks(const move::MoveResult& result, Limb limb) {
  const move::MovePeaks::OfLimb& of = result.peaks.limbs[index_of(limb)];
  if (of.load_N < move::kCarries_N) return pad(long_name(limb), 12) + "carries nothing";
  const auto cell = [&result](const std::string& value, int frame, int columns = 7) {
    return pad_left(value, columns) + "  " + pad(show_instant(result.frames[static_cast<std::size_t>(frame)]), 16);
  };
  return pad(long_name(limb), 12) + cell(fmt::format("{:.0f} N", of.load_N), of.load_frame) +
         cell(io::show_percent(of.capacity_use), of.capacity_frame) +
         cell(io::show_slip_off(of.slip_off, limb), of.slip_off_frame, 12);
}

std::string trim_right(std::string text) {
  text.erase(text.find_last_not_of(' ') + 1);
  return text;
}

/// Where the lower hand's margin is least, beside the start of its history.
std::string format_lower_hand(const move::MoveResult& result, const Terminal& terminal) {
  const move::Frame* first = nullptr;
  const move::Frame* least = nullptr;
  const move::Frame* last = nullptr;
  for (const move::Frame& frame : result.frames) {
    if (!frame.has_posture || !frame.lower_hand || frame.lower_hand->pull_W.isZero()) continue;
    if (first == nullptr) first = &frame;
    if (least == nullptr || frame.lower_hand->slip_off.margin < least->lower_hand->slip_off.margin) least = &frame;
    last = &frame;
  }
  if (first == nullptr) return "";
  std::string text = fmt::format("{:<24}{:>7}{:>11}{:>7}{:>7}{:>13}{:>7}{:>9}  {}\n",
                                 fmt::format("lower hand ({})", short_name(*result.lower_hand)), "com", "above hold",
                                 "load", "use", "margin", "pull", "forearm", "read from");
  for (const auto& [name, frame] :
       {std::pair{"start", first}, std::pair{"least margin", least}, std::pair{"end", last}}) {
    const move::LowerHandState& hand = *frame->lower_hand;
    text +=
        fmt::format("{:<24}{:>7.0f}{:>11.0f}{:>7.0f}{}{}{}{}  {}\n",
                    fmt::format("  {}, {}", name, show_instant(*frame)), mm_from_m(frame->p_Wcm.z()),
                    mm_from_m(hand.com_above_hold_m), hand.force_N, pad_left(io::show_percent(hand.capacity_use), 7),
                    pad_left(io::show_slip_off(hand.slip_off, *result.lower_hand), 13),
                    pad_left(io::show_degrees(hand.pull_swing), 7), pad_left(io::show_degrees(hand.forearm_swing), 9),
                    hand.set_name);
  }
  return text + wrap_lines(
                    "heights in mm, load in N; pull: 0\u00B0 down along the panel, 90\u00B0 straight out of it; "
                    "forearm: 0\u00B0 hanging below the hold, 90\u00B0 straight out",
                    terminal);
}

}  // namespace

std::string format_frames(const move::MoveResult& result, const Terminal& terminal) {
  const int taken = 1 + kPhase + kT + 1 + kCom + 1 + kEffort + 4 * (kContact + 1) + 2;
  const int limit_columns = std::max(kNarrowestLimit, terminal.columns - taken);
  std::string head =
      " " + pad("phase", kPhase) + pad_left("t", kT) + " " + pad_left("com", kCom) + " " + pad_left("effort", kEffort);
  for (const Limb limb : kLimbs) head += " " + pad_left(std::string(short_name(limb)) + " use mg", kContact);
  head += "  limit";
  std::string text = head + "\n" + std::string(static_cast<std::size_t>(find_display_width(head)), '-') + "\n";
  for (std::size_t i = 0; i < result.frames.size(); ++i)
    text += format_frame(result.frames[i], result.deciding_frame == static_cast<int>(i), limit_columns, terminal);
  return text;
}

std::string format_peaks(const move::MoveResult& result, const Terminal& terminal) {
  std::string text =
      trim_right(pad("", 12) + pad("most load", 25) + pad("most use", 25) + "least slip-off margin") + "\n";
  for (const Limb limb : kLimbs) text += trim_right(format_limb_peaks(result, limb)) + "\n";
  const std::string lower = format_lower_hand(result, terminal);
  return lower.empty() ? text : text + "\n" + lower;
}

}  // namespace steepwright::cli
