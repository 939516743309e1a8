// Pictures in three formats, and the plots in them.

#include "engine/io/drawing.h"

#include "engine/io/plot.h"
#include "engine/io/problem_picture.h"
#include "engine/io/strip_picture.h"
#include "tests/support/stick_scene.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdint>
#include <string>

namespace steepwright::tests {
namespace {

using testing::HasSubstr;
using testing::Not;
using testing::StartsWith;

std::string format(const io::Drawing& drawing, io::PictureFormat format) {
  const Result<std::string> text = io::format_drawing(drawing, format);
  return text ? *text : std::string();
}

io::Drawing make_stick_strip(const io::MoveExtras& extras = {}) {
  StickCase made = make_stick_case();
  made.results[0].deciding_frame = 1;
  return io::make_strip(made.scene, made.body, made.results[0], extras);
}

/// Big-endian number in a PNG's header.
std::uint32_t read_size(const std::string& png, std::size_t at) {
  std::uint32_t value = 0;
  for (std::size_t i = 0; i < 4; ++i) value = 256 * value + static_cast<unsigned char>(png.at(at + i));
  return value;
}

TEST(Drawing, IsKnownByTheEndingOfItsFile) {
  EXPECT_EQ(io::find_picture_format("a/b.SVG"), io::PictureFormat::kSvg);
  EXPECT_EQ(io::find_picture_format("b.png"), io::PictureFormat::kPng);
  EXPECT_EQ(io::find_picture_format("b.pdf"), io::PictureFormat::kPdf);
  EXPECT_FALSE(io::find_picture_format("b.jpg"));
  EXPECT_FALSE(io::find_picture_format("png"));
}

TEST(Drawing, OfAnUnknownEndingNamesTheKnownOnes) {
  const Result<void> saved = io::save_drawing("strip.bmp", make_stick_strip());
  ASSERT_FALSE(saved);
  EXPECT_THAT(to_text(saved.error().front()), HasSubstr(".png"));
}

TEST(Drawing, AsPngHasTwoPixelsForEachOfTheDrawing) {
  const io::Drawing drawing = make_stick_strip();
  const std::string png = format(drawing, io::PictureFormat::kPng);
  ASSERT_THAT(png, StartsWith("\x89PNG\r\n"));
  EXPECT_EQ(read_size(png, 16), static_cast<std::uint32_t>(std::ceil(io::kPngScale * drawing.size_px.x())));
  EXPECT_EQ(read_size(png, 20), static_cast<std::uint32_t>(std::ceil(io::kPngScale * drawing.size_px.y())));
}

TEST(Drawing, IsTheSameFileEachTime) {
  for (const auto as : {io::PictureFormat::kSvg, io::PictureFormat::kPdf})
    EXPECT_EQ(format(make_stick_strip(), as), format(make_stick_strip(), as));
  EXPECT_THAT(format(make_stick_strip(), io::PictureFormat::kPdf), StartsWith("%PDF-"));
}

TEST(Drawing, TooLargeForABitmapIsAFailureNotACrash) {
  const io::Drawing drawing{"huge", {1e6, 1e6}, [](io::Canvas& canvas) {
                              canvas.circle({5, 5}, 2, {.fill = "#000000"});
                            }};
  EXPECT_FALSE(io::format_drawing(drawing, io::PictureFormat::kPng));
}

TEST(Strip, SaysPhasesAxesLimbsAndCautions) {
  const std::string svg = format(make_stick_strip(), io::PictureFormat::kSvg);
  for (const char* text : {"ledge to slot", "before", "unloaded", "touch", "settled", "decides", "load, N",
                           "capacity used, %", "slip-off margin, degrees", "share of the move, t", "lower hand (LH)",
                           "height of the centre of mass, mm", "LH left hand", "100 % or more", "0.5 m", "EN 12572"})
    EXPECT_THAT(svg, HasSubstr(text));
  EXPECT_THAT(svg, Not(HasSubstr("nan")));
  EXPECT_THAT(svg, Not(HasSubstr("draws that fail")));
}

TEST(Strip, ShowsTheDrawsThatFailWhereThereIsARisk) {
  io::MoveExtras extras;
  extras.risk.emplace();
  extras.risk->draws = 500;
  extras.risk->fail_share = 0.125;
  extras.risk->frames.resize(4);
  for (move::FrameRisk& frame : extras.risk->frames) frame.slip_off_margin[0] = move::RiskBand{0.1, 0.2, 0.3};
  const std::string svg = format(make_stick_strip(extras), io::PictureFormat::kSvg);
  EXPECT_THAT(svg, HasSubstr("draws that fail, %"));
  EXPECT_THAT(svg, HasSubstr("12.5 % of 500 draws fail"));
}

TEST(Strip, DrawsAMoveForWhichNothingWasFound) {
  StickCase made = make_stick_case();
  made.results[0].frames.clear();
  made.results[0].lower_hand.reset();
  EXPECT_THAT(format(io::make_strip(made.scene, made.body, made.results[0]), io::PictureFormat::kSvg),
              HasSubstr("</svg>"));
}

TEST(ProblemPicture, ListsEveryMoveWithItsVerdict) {
  const StickCase made = make_stick_case();
  move::ProblemResult problem;
  for (const move::MoveResult& result : made.results) problem.moves.push_back({result, {}, false});
  problem.crux = 1;
  const std::string svg = format(io::make_problem_picture(made.scene, made.body, problem), io::PictureFormat::kSvg);
  for (const char* text : {"attic, first set", "1 of 2 moves hold; crux: slot to far ledge", "1  ledge to slot",
                           "short by 234 mm", "crux", "EN 12572"})
    EXPECT_THAT(svg, HasSubstr(text));
}

TEST(ProblemPicture, OfNoMovesSaysSo) {
  const StickCase made = make_stick_case();
  EXPECT_THAT(format(io::make_problem_picture(made.scene, made.body, {}), io::PictureFormat::kSvg),
              HasSubstr("the scene has no moves"));
}

TEST(Ticks, AreRoundAndAboutAsManyAsWanted) {
  EXPECT_DOUBLE_EQ(io::find_tick_step(100.0, 5), 20.0);
  EXPECT_DOUBLE_EQ(io::find_tick_step(97.0, 4), 50.0);
  EXPECT_DOUBLE_EQ(io::find_tick_step(0.3, 3), 0.1);
  for (const double span : {0.013, 1.7, 42.0, 999.0, 12345.0}) {
    const double n = span / io::find_tick_step(span, 5);
    EXPECT_GE(n, 2.0) << span;
    EXPECT_LE(n, 5.0 + 1e-9) << span;
  }
}

TEST(Ticks, RangeIsWidenedToWholeSteps) {
  const io::PlotRange range = io::round_out({-3.0, 17.0}, 5.0);
  EXPECT_DOUBLE_EQ(range.lower, -5.0);
  EXPECT_DOUBLE_EQ(range.upper, 20.0);
  EXPECT_DOUBLE_EQ(io::round_out({0.0, 100.0}, 20.0).upper, 100.0);
}

}  // namespace
}  // namespace steepwright::tests
