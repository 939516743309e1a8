// The picture: well-formed, complete, and safe with names that carry XML's own signs.

#include "engine/io/moves_picture.h"

#include "engine/io/svg_canvas.h"
#include "tests/support/stick_scene.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <regex>
#include <string>
#include <vector>

namespace steepwright::tests {
namespace {

using testing::HasSubstr;
using testing::Not;

std::string draw(const StickCase& made, const std::vector<move::MoveResult>& results) {
  const io::Drawing drawing = io::make_moves_picture(made.scene, made.body, results);
  return io::format_drawing(drawing, io::PictureFormat::kSvg).value();
}

std::string draw() {
  const StickCase made = make_stick_case();
  return draw(made, made.results);
}

// Every opened element is closed, in order; enough of XML for what we write.
bool is_balanced(const std::string& svg) {
  std::vector<std::string> open;
  const std::regex tag(R"(<(/?)([a-zA-Z]+)([^<>]*?)(/?)>)");
  for (auto it = std::sregex_iterator(svg.begin(), svg.end(), tag); it != std::sregex_iterator(); ++it) {
    if ((*it)[1].length() > 0) {
      if (open.empty() || open.back() != (*it)[2]) return false;
      open.pop_back();
    } else if ((*it)[4].length() == 0) {
      open.push_back((*it)[2]);
    }
  }
  return open.empty();
}

TEST(MovesPicture, EscapesTheSignsOfXml) {
  EXPECT_EQ(io::escape_xml("a<b & \"c\" 'd'\x01"), "a&lt;b &amp; &quot;c&quot; &#39;d&#39; ");
  EXPECT_THAT(draw(), HasSubstr("ledge &amp; &quot;lip&quot;"));
  EXPECT_THAT(draw(), Not(HasSubstr("chip <a>")));
}

TEST(MovesPicture, ClosesEveryElement) { EXPECT_TRUE(is_balanced(draw())); }

TEST(MovesPicture, HasNoNumberThatIsNotFinite) {
  EXPECT_THAT(draw(), Not(HasSubstr("nan")));
  EXPECT_FALSE(std::regex_search(draw(), std::regex("[=, \"]-?inf[, \"]")));
}

TEST(MovesPicture, SaysVerdictCauseScaleAndCautions) {
  const std::string svg = draw();
  for (const char* text :
       {"attic, first set", "ledge to slot", "short by 234 mm", "234 mm short", "0.5 m", "before", "touch", "settled",
        "kicker, 0", "main panel, 35", "roof, 75", "50 %", "growing", "EN 12572"})
    EXPECT_THAT(svg, HasSubstr(text));
}

TEST(MovesPicture, GivesTheInstantsDifferentLines) {
  const std::string svg = draw();
  EXPECT_THAT(svg, HasSubstr("stroke-dasharray=\"1 6\""));
  EXPECT_THAT(svg, HasSubstr("stroke-dasharray=\"9 6\""));
}

TEST(MovesPicture, DrawsAWallWithoutAnyMove) { EXPECT_TRUE(is_balanced(draw(make_stick_case(), {}))); }

TEST(MovesPicture, DrawsAMoveForWhichNothingWasFound) {
  StickCase made = make_stick_case();
  made.results.resize(1);
  made.results[0].frames.clear();
  EXPECT_TRUE(is_balanced(draw(made, made.results)));
}

// Relative luminance of sRGB (WCAG 2.1).
double find_luminance(const std::string& colour) {
  const auto channel = [&colour](std::size_t at) {
    const double share = std::stoi(colour.substr(at, 2), nullptr, 16) / 255.0;
    return share <= 0.03928 ? share / 12.92 : std::pow((share + 0.055) / 1.055, 2.4);
  };
  return 0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5);
}

TEST(UseColour, RisesEvenlyInLightness) {
  // CIE L* = 116 Y^(1/3) - 16: steps of the scale should not differ by more than a factor of two.
  const auto lightness = [](double use) { return 116.0 * std::cbrt(find_luminance(io::use_colour(use))) - 16.0; };
  const double whole = lightness(1.0) - lightness(0.0);
  for (int i = 0; i < 8; ++i) {
    const double step = lightness((i + 1) / 8.0) - lightness(i / 8.0);
    EXPECT_GT(step, 0.5 * whole / 8.0) << i;
    EXPECT_LT(step, 2.0 * whole / 8.0) << i;
  }
}

TEST(UseColour, StaysAtTheEndBeyondTheLimit) {
  EXPECT_EQ(io::use_colour(1.0), io::use_colour(3.0));
  EXPECT_EQ(io::use_colour(0.0), io::use_colour(-1.0));
}

TEST(WrapText, KeepsEveryWordAndTheWidth) {
  const std::string text = "left hand needs friction 0.71 where the surface gives 0.60 and no more";
  std::string joined;
  for (const std::string& line : io::wrap_text(text, 14.0, 160.0)) {
    EXPECT_LE(io::estimate_text_width(line, 14.0), 160.0);
    joined += (joined.empty() ? "" : " ") + line;
  }
  EXPECT_EQ(joined, text);
}

}  // namespace
}  // namespace steepwright::tests
