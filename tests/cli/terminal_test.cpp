#include "engine/cli/terminal.h"

#include "engine/cli/table.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>
#include <sstream>
#include <string>
#include <vector>

namespace steepwright::tests {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::Not;

TEST(DisplayWidth, CountsColumnsNotBytes) {
  EXPECT_EQ(cli::find_display_width("ledge"), 5);
  EXPECT_EQ(cli::find_display_width("Kante \u00FC"), 7);
  EXPECT_EQ(cli::find_display_width("e\u0301"), 1);       // combining acute accent
  EXPECT_EQ(cli::find_display_width("\u5CA9\u58C1"), 4);  // two wide letters
  EXPECT_EQ(cli::find_display_width("\xFF\xFE"), 2);      // not UTF-8: a column a byte
  EXPECT_EQ(cli::find_display_width("\xE5\xB2"), 2);      // cut off
}

TEST(MakePrintable, ReplacesWhatSteersATerminal) {
  EXPECT_EQ(cli::make_printable("a\033[31mb\nc\x7F"), "a?[31mb?c?");
  EXPECT_EQ(cli::make_printable("\u00FC\u5CA9"), "\u00FC\u5CA9");
  EXPECT_EQ(cli::make_printable("\u009B"
                                "1m"),
            "?1m");  // the one-letter form of ESC [
}

TEST(Wrap, BreaksAtSpacesAndWithinLongWords) {
  EXPECT_THAT(cli::wrap("left hand slips", 10), ElementsAre("left hand", "slips"));
  EXPECT_THAT(cli::wrap("abcdefghij", 4), ElementsAre("abcd", "efgh", "ij"));
  EXPECT_THAT(cli::wrap("", 4), ElementsAre(""));
  EXPECT_THAT(cli::wrap("\u00FC\u00FC\u00FC\u00FC", 2), ElementsAre("\u00FC\u00FC", "\u00FC\u00FC"));
}

move::MoveResult make_result(const std::string& name, const std::string& cause) {
  move::MoveResult result;
  result.name = name;
  result.cause = move::Cause::kSlip;
  result.cause_text = cause;
  result.deciding_phase = move::Phase::kSettled;
  result.deciding_limb = Limb::kRightFoot;
  result.effort_peak = 1.184;
  result.frames.resize(1);
  result.frames[0].has_posture = true;
  result.frames[0].mu_needed_factor = 1.22;
  return result;
}

std::size_t find_widest(const std::string& text) {
  std::istringstream lines(text);
  int widest = 0;
  for (std::string line; std::getline(lines, line);) widest = std::max(widest, cli::find_display_width(line));
  return static_cast<std::size_t>(widest);
}

TEST(VerdictTable, NamesVerdictEffortFrictionPhaseLimbAndCause) {
  const std::string text = cli::format_verdicts({make_result("a to b", "right foot needs mu 0.92")}, {});
  for (const char* part : {"a to b", "not static", "118 %", "122 %", "settled RF", "right foot needs mu 0.92"})
    EXPECT_THAT(text, HasSubstr(part));
}

TEST(VerdictTable, StaysInsideTheTerminal) {
  const std::string name = "a very long name of a move with \u00FCml\u00E4uts that goes on and on";
  const std::string cause = "left hand needs friction 0.71 where the surface gives 0.60, short by eleven hundredths";
  for (const int columns : {60, 80, 100})
    EXPECT_LE(find_widest(cli::format_verdicts({make_result(name, cause)}, {false, columns})),
              static_cast<std::size_t>(columns));
}

TEST(VerdictTable, LeavesTheShareOutWhereNoFrictionHelps) {
  move::MoveResult result = make_result("a", "b");
  result.frames[0].mu_needed_factor = std::numeric_limits<double>::infinity();
  const std::string table = cli::format_verdicts({result}, {});
  EXPECT_THAT(table, HasSubstr(" -  "));
  EXPECT_THAT(table, Not(HasSubstr("inf")));
  result.frames[0].mu_needed_factor = 12.0;
  EXPECT_THAT(cli::format_verdicts({result}, {}), HasSubstr("> 999 %"));
}

TEST(VerdictTable, LeavesNumbersOutWhereNothingCouldBeJudged) {
  move::MoveResult result = make_result("a", "short by 34 mm");
  result.frames[0].has_posture = false;
  const std::string text = cli::format_verdicts({result}, {});
  EXPECT_THAT(text, Not(HasSubstr("%")));
}

TEST(VerdictTable, ColoursOnlyWhereAsked) {
  EXPECT_THAT(cli::format_verdicts({make_result("a", "b")}, {true, 100}), HasSubstr("\033["));
  EXPECT_THAT(cli::format_verdicts({make_result("a", "b")}, {false, 100}), Not(HasSubstr("\033")));
}

}  // namespace
}  // namespace steepwright::tests
