#include "engine/cli/table.h"

#include "engine/cli/columns.h"
#include "engine/io/quantities.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace steepwright::cli {

namespace {

constexpr std::size_t kColumns = 6;
enum Column : std::size_t { kMove, kVerdict, kEffort, kFriction, kDecides, kCause };

constexpr std::array<std::string_view, kColumns> kHeads = {"move", "verdict", "effort", "friction", "decides", "cause"};
constexpr int kWidestName = 26;
constexpr int kNarrowestCause = 24;  // where there is less room, causes stand below their rows
constexpr int kGap = 2;

using Widths = std::array<int, kColumns>;
/// A cell's lines, and the share of a limit that colours it (negative: none).
struct Cell {
  std::vector<std::string> lines;
  double use = -1.0;
};
using Row = std::array<Cell, kColumns>;

std::string describe_deciding(const move::MoveResult& result) {
  std::string text(move::name_of(result.deciding_phase));
  if (result.deciding_limb) text.append(" ").append(short_name(*result.deciding_limb));
  return text;
}

bool has_any_posture(const move::MoveResult& result) {
  return std::any_of(result.frames.begin(), result.frames.end(),
                     [](const move::Frame& frame) { return frame.has_posture; });
}

Widths find_widths(const std::vector<move::MoveResult>& results, const Terminal& terminal) {
  Widths widths{4, 10, 7, 8, 8, 0};
  for (const move::MoveResult& result : results) {
    widths[kMove] = std::clamp(find_display_width(make_printable(result.name)), widths[kMove], kWidestName);
    widths[kDecides] = std::max(widths[kDecides], find_display_width(describe_deciding(result)));
  }
  int taken = 0;
  for (std::size_t i = kVerdict; i < kCause; ++i) taken += widths[i] + kGap;
  const int rest = terminal.columns - taken;
  widths[kMove] = std::clamp(rest, 8, widths[kMove]);
  const int cause = rest - widths[kMove] - kGap;
  widths[kCause] = cause >= kNarrowestCause ? cause : 0;
  return widths;
}

Row make_row(const move::MoveResult& result, const Widths& widths, const Terminal& terminal) {
  Row row;
  const bool is_static = result.verdict == move::Verdict::kStatic;
  const std::string cause = !result.cause_text.empty() ? result.cause_text
                            : is_static                ? std::string("holds")
                                                       : std::string(move::name_of(result.cause));
  // Where the contacts cannot be met there is no effort to speak of.
  const bool has_contacts = move::are_contacts_met(result.cause);
  const bool is_judged = has_any_posture(result) && has_contacts && result.effort_peak > 0.0;
  const double friction = find_needed_friction(result);
  row[kMove].lines = wrap(make_printable(result.name), widths[kMove]);
  row[kVerdict].lines = {std::string(move::name_of(result.verdict))};
  row[kEffort] = {{is_judged ? io::show_percent(result.effort_peak) : "-"}, is_judged ? result.effort_peak : -1.0};
  row[kFriction] = {{friction < 0.0 ? "-" : io::show_percent(friction)}, friction};
  row[kDecides].lines = {describe_deciding(result)};
  row[kCause].lines = wrap(make_printable(cause), widths[kCause] > 0 ? widths[kCause] : terminal.columns - kGap);
  return row;
}

std::string print_row(const Row& row, const Widths& widths, const Terminal& terminal) {
  const bool is_cause_below = widths[kCause] == 0;
  const std::size_t n_columns = is_cause_below ? kCause : kColumns;
  std::size_t height = 0;
  for (std::size_t i = 0; i < n_columns; ++i) height = std::max(height, row[i].lines.size());
  std::string text;
  for (std::size_t line = 0; line < height; ++line) {
    std::string printed;
    for (std::size_t i = 0; i < n_columns; ++i) {
      const bool is_there = line < row[i].lines.size();
      const std::string part = is_there ? row[i].lines[line] : std::string();
      std::string cell = i == kCause                      ? part
                         : i == kEffort || i == kFriction ? pad_left(part, widths[i])
                                                          : pad(part, widths[i]);
      if (is_there && row[i].use >= 0.0) cell = on_use_colour(cell, row[i].use, terminal);
      if (is_there && i == kVerdict) cell = bold(cell, terminal);
      printed += (i == 0 ? std::string() : std::string(kGap, ' ')) + cell;
    }
    printed.erase(printed.find_last_not_of(' ') + 1);
    text += printed + "\n";
  }
  if (is_cause_below) {
    for (const std::string& line : row[kCause].lines) text.append(kGap, ' ').append(line).append("\n");
  }
  return text;
}

}  // namespace

double find_needed_friction(const move::MoveResult& result) {
  double needed = -1.0;
  for (const move::Frame& frame : result.frames) {
    if (frame.has_posture) needed = std::max(needed, frame.mu_needed_factor);
  }
  return needed;
}

std::string format_verdicts(const std::vector<move::MoveResult>& results, const Terminal& terminal) {
  const Widths widths = find_widths(results, terminal);
  Row head;
  int total = 0;
  for (std::size_t i = 0; i < kColumns; ++i) {
    head[i].lines = {std::string(kHeads[i])};
    total += widths[i] + (i == 0 ? 0 : kGap);
  }
  std::string text = print_row(head, widths, {false, terminal.columns});
  text += std::string(static_cast<std::size_t>(std::min(total, terminal.columns)), '-') + "\n";
  for (const move::MoveResult& result : results)
    text += print_row(make_row(result, widths, terminal), widths, terminal);
  return text;
}

}  // namespace steepwright::cli
