/// The colour scale against what eyes see.

#include "viewer/render/use_scale.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

namespace steepwright::viewer::render {
namespace {

constexpr double kPi = 3.14159265358979;

double decode(double c) { return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4); }

glm::dvec3 to_linear(const Color& c) { return {decode(c.r), decode(c.g), decode(c.b)}; }

/// CIE L*a*b* (D65) of linear sRGB (IEC 61966-2-1).
glm::dvec3 to_lab(const glm::dvec3& c) {
  const glm::dvec3 xyz(0.4124564 * c.r + 0.3575761 * c.g + 0.1804375 * c.b,
                       0.2126729 * c.r + 0.7151522 * c.g + 0.0721750 * c.b,
                       0.0193339 * c.r + 0.1191920 * c.g + 0.9503041 * c.b);
  const auto f = [](double t) { return t > 0.008856 ? std::cbrt(t) : 7.787 * t + 16.0 / 116.0; };
  const glm::dvec3 g(f(xyz.x / 0.95047), f(xyz.y), f(xyz.z / 1.08883));
  return {116.0 * g.y - 16.0, 500.0 * (g.x - g.y), 200.0 * (g.y - g.z)};
}

/// CIEDE2000: Sharma, Wu, Dalal 2005; angles in rad.
double difference(const glm::dvec3& p, const glm::dvec3& q) {
  const auto deg = [](double angle_deg) { return angle_deg * kPi / 180.0; };
  const auto saturation = [](double c) { return std::sqrt(std::pow(c, 7) / (std::pow(c, 7) + std::pow(25.0, 7))); };
  const double g = 0.5 * (1.0 - saturation(0.5 * (std::hypot(p.y, p.z) + std::hypot(q.y, q.z))));
  const glm::dvec2 a((1.0 + g) * p.y, p.z);
  const glm::dvec2 b((1.0 + g) * q.y, q.z);
  const double mean_c = 0.5 * (glm::length(a) + glm::length(b));
  // The mean hue lies on the shorter way between the two.
  const double hue_a = std::atan2(a.y, a.x);
  const double turn = std::remainder(std::atan2(b.y, b.x) - hue_a, 2.0 * kPi);
  const double hue = hue_a + 0.5 * turn;
  const double t = 1.0 - 0.17 * std::cos(hue - deg(30)) + 0.24 * std::cos(2.0 * hue) +
                   0.32 * std::cos(3.0 * hue + deg(6)) - 0.20 * std::cos(4.0 * hue - deg(63));
  const double l = std::pow(0.5 * (p.x + q.x) - 50.0, 2);
  const double dl = (q.x - p.x) / (1.0 + 0.015 * l / std::sqrt(20.0 + l));
  const double dc = (glm::length(b) - glm::length(a)) / (1.0 + 0.045 * mean_c);
  const double dh =
      2.0 * std::sqrt(glm::length(a) * glm::length(b)) * std::sin(0.5 * turn) / (1.0 + 0.015 * mean_c * t);
  const double from_blue = std::remainder(hue - deg(275), 2.0 * kPi) / deg(25);
  const double rotation = -2.0 * saturation(mean_c) * std::sin(deg(60) * std::exp(-from_blue * from_blue));
  return std::sqrt(dl * dl + dc * dc + dh * dh + rotation * dc * dh);
}

/// Full colour blindness as seen by others: Machado, Oliveira, Fernandes 2009, table for severity 1.0. Identity first.
const std::array<glm::dmat3, 4> kSights = {
    glm::dmat3(1.0),
    glm::transpose(
        glm::dmat3(0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116, 1.051998)),
    glm::transpose(
        glm::dmat3(0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.011820, 0.042940, 0.968881)),
    glm::transpose(
        glm::dmat3(1.255528, -0.076749, -0.178779, -0.078411, 0.930809, 0.147602, 0.004733, 0.691367, 0.303900))};

glm::dvec3 see(const Color& c, const glm::dmat3& sight) { return to_lab(glm::clamp(sight * to_linear(c), 0.0, 1.0)); }

double luminance(const Color& c) { return glm::dot(to_linear(c), glm::dvec3(0.2126, 0.7152, 0.0722)); }

class UseScale : public testing::TestWithParam<Theme> {};

// Pairs 1 and 17 of the table in Sharma et al. 2005 check the formula itself.
TEST(ColorDifference, IsThatOfThePublishedTable) {
  EXPECT_NEAR(difference({50.0, 2.6772, -79.7751}, {50.0, 0.0, -82.7485}), 2.0425, 1e-4);
  EXPECT_NEAR(difference({50.0, 2.5, 0.0}, {73.0, 25.0, -18.0}), 27.1492, 1e-4);
}

TEST_P(UseScale, StepsAreEvenToTheEye) {
  const auto steps = use_steps(GetParam());
  double least = 1e9;
  double most = 0.0;
  for (std::size_t i = 0; i + 1 < kUseSteps; ++i) {
    const double step = difference(see(steps[i], kSights[0]), see(steps[i + 1], kSights[0]));
    least = std::min(least, step);
    most = std::max(most, step);
  }
  EXPECT_LT(most / least, 1.1);
  EXPECT_GT(least, 4.0);
}

// Lightness alone tells the order, for every kind of sight.
TEST_P(UseScale, LightnessRunsOneWay) {
  const auto steps = use_steps(GetParam());
  const double sign = GetParam() == Theme::kDark ? 1.0 : -1.0;
  for (const glm::dmat3& sight : kSights) {
    for (std::size_t i = 0; i + 2 < kUseSteps; i += 2)
      EXPECT_GT(sign * (see(steps[i + 2], sight).x - see(steps[i], sight).x), 0.4) << "step " << i;
  }
}

// Quarters and "over" differ clearly (2.3 is just noticeable: Mahy et al. 1994).
TEST_P(UseScale, QuartersAreToldApartByEverySight) {
  std::array<Color, 6> colors{};
  for (std::size_t i = 0; i < 5; ++i) colors[i] = find_use_color(0.25F * static_cast<float>(i), GetParam());
  colors[5] = over_limit_color(GetParam());
  for (const glm::dmat3& sight : kSights) {
    for (std::size_t i = 0; i < colors.size(); ++i) {
      for (std::size_t j = 0; j < i; ++j)
        EXPECT_GT(difference(see(colors[i], sight), see(colors[j], sight)), 6.0) << i << " and " << j;
    }
  }
}

// WCAG 2.1 asks for 3 : 1 of what must be seen; the unused end may be fainter.
TEST_P(UseScale, MuchUseStandsOutFromTheBackground) {
  const double background =
      GetParam() == Theme::kDark ? luminance({0.16F, 0.18F, 0.21F}) : luminance({0.93F, 0.94F, 0.95F});
  for (const float use : {0.0F, 0.5F, 0.75F, 1.0F, 1.3F}) {
    const double shown = luminance(find_use_color(use, GetParam()));
    const double contrast = (std::max(shown, background) + 0.05) / (std::min(shown, background) + 0.05);
    EXPECT_GT(contrast, use < 0.5F ? 2.0 : 3.0) << use;
  }
}

TEST_P(UseScale, EndsWhereItsNumbersDo) {
  EXPECT_EQ(find_use_color(0.0F, GetParam()), use_steps(GetParam()).front());
  EXPECT_EQ(find_use_color(1.0F, GetParam()), use_steps(GetParam()).back());
  EXPECT_EQ(find_use_color(1.0002F, GetParam()), use_steps(GetParam()).back());
  EXPECT_EQ(find_use_color(1.01F, GetParam()), over_limit_color(GetParam()));
  EXPECT_EQ(find_use_color(-3.0F, GetParam()), use_steps(GetParam()).front());
  EXPECT_EQ(find_use_color(std::nanf(""), GetParam()), use_steps(GetParam()).front());
}

TEST_P(UseScale, LegendNamesTheQuarters) {
  const std::vector<LegendEntry> legend = make_use_legend(GetParam(), 16);
  ASSERT_EQ(legend.size(), 18U);
  EXPECT_EQ(legend[0].label, "0 %");
  EXPECT_EQ(legend[4].label, "25 %");
  EXPECT_EQ(legend[5].label, "");
  EXPECT_EQ(legend[16].label, "100 %");
  EXPECT_EQ(legend[17].label, "over");
  EXPECT_EQ(legend[8].color, find_use_color(0.5F, GetParam()));
}

INSTANTIATE_TEST_SUITE_P(Themes, UseScale, testing::Values(Theme::kDark, Theme::kLight),
                         [](const auto& theme) { return theme.param == Theme::kDark ? "Dark" : "Light"; });

}  // namespace
}  // namespace steepwright::viewer::render
