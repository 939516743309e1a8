#include "engine/cli/advice_table.h"

#include "engine/cli/columns.h"
#include "engine/core/units.h"
#include "engine/io/quantities.h"

#include <fmt/format.h>

#include <cmath>

namespace steepwright::cli {

namespace {

constexpr int kRemedyColumn = 18, kAmountColumn = 24;

/// "34 mm", "4.5°", "12.0 %"; lengths are rounded up, so that what is told is enough.
std::string show_amount(move::Remedy remedy, double amount) {
  switch (remedy) {
    case move::Remedy::kLessOverhang:
    case move::Remedy::kMoreIncut:
      return fmt::format("{:.1f}\u00B0", deg_from_rad(amount));
    case move::Remedy::kMoreFriction:
    case move::Remedy::kStrongerFingers:
      return fmt::format("{:.1f} %", 100.0 * amount);
    case move::Remedy::kTargetCloser:
    case move::Remedy::kTargetUp:
    case move::Remedy::kTargetDown:
    case move::Remedy::kTargetLeft:
    case move::Remedy::kTargetRight:
    case move::Remedy::kDeeperHold:
      break;
  }
  return fmt::format("{:.0f} mm", std::ceil(mm_from_m(amount) - 1e-6));
}

std::string describe_way(const move::RemedyResult& result) {
  if (result.remedy == move::Remedy::kTargetCloser)
    return fmt::format("{:+} mm across, {:+} mm up", std::lround(mm_from_m(result.across_m)),
                       std::lround(mm_from_m(result.up_m)));
  return result.hold.empty() ? "" : "of '" + make_printable(result.hold) + "'";
}

std::string format_remedy(const move::RemedyResult& result) {
  std::string line = "  " + pad(move::name_of(result.remedy), kRemedyColumn);
  if (!result.amount) {
    return line + (result.largest > 0.0
                       ? fmt::format("does not help, up to {}\n", show_amount(result.remedy, result.largest))
                       : "does not apply\n");
  }
  std::string amount = show_amount(result.remedy, *result.amount);
  const std::string way = describe_way(result);
  if (!way.empty()) amount += " (" + way + ")";
  line += pad(amount, kAmountColumn);
  if (result.effort_peak) line += fmt::format("  then holds at {}", io::show_percent(*result.effort_peak));
  return line + "\n";
}

}  // namespace

std::string format_feet(const std::vector<move::FootChoice>& choices, const Terminal& terminal) {
  if (choices.empty()) return bold("feet: no placement was found", terminal) + "\n";
  std::string text = bold("feet, best first", terminal) + "\n";
  for (std::size_t i = 0; i < choices.size(); ++i) {
    const move::FootChoice& choice = choices[i];
    const bool is_met = move::are_contacts_met(choice.result.cause);
    const std::string head =
        fmt::format("{} {}. {}, {}{}", choice.is_given ? ">" : " ", i + 1, move::name_of(choice.result.verdict),
                    is_met ? io::show_percent(choice.result.effort_peak) : "-", choice.is_given ? ", as given" : "");
    text += head + "\n";
    text += list_below("", make_printable(choice.places), terminal);
    text += list_below("", make_printable(choice.reason), terminal);
  }
  return text;
}

std::string format_remedies(const std::vector<move::RemedyResult>& remedies, const Terminal& terminal) {
  std::string text = bold("what makes the move hold, one change alone, each tried until it holds", terminal) + "\n";
  for (const move::RemedyResult& result : remedies) text += format_remedy(result);
  return text;
}

}  // namespace steepwright::cli
