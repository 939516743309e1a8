// Drawn bodies against the survey that they are drawn from: ANSUR II (Gordon et al. 2014), moments computed from the
// public data: mean (sd) of stature 1756.2 (68.6) and 1628.5 (64.2), span 1814.2 (84.6) and 1660.3 (83.0), sitting
// height 918.3 (35.7) and 856.6 (33.1), overhead fingertip reach standing 2264.6 (104.4) and 2081.6 (98.2) mm,
// mass 85.5 (14.2) and 67.8 (11.0) kg, for men and women.

#include "engine/study/population.h"

#include "engine/body/body.h"

#include <gtest/gtest.h>

#include <cmath>

namespace steepwright::study {
namespace {

constexpr int kDraws = 4000;

struct Moments {
  double mean = 0.0, sd = 0.0;
};

template <typename Value>
Moments find_moments(const std::vector<body::Measures>& people, const Value& value) {
  double sum = 0.0, sum2 = 0.0;
  for (const body::Measures& person : people) {
    sum += value(person);
    sum2 += value(person) * value(person);
  }
  const double n = static_cast<double>(people.size());
  return {sum / n, std::sqrt(sum2 / n - sum / n * sum / n)};
}

template <typename A, typename B>
double find_correlation(const std::vector<body::Measures>& people, const A& a, const B& b) {
  const Moments ma = find_moments(people, a), mb = find_moments(people, b);
  double sum = 0.0;
  for (const body::Measures& person : people) sum += (a(person) - ma.mean) * (b(person) - mb.mean);
  return sum / static_cast<double>(people.size()) / ma.sd / mb.sd;
}

std::vector<body::Measures> draw_people(body::Sex sex, int n) {
  RandomStream random(11);
  std::vector<body::Measures> people;
  for (int k = 0; k < n; ++k) people.push_back(draw_measures(sex, {}, random));
  return people;
}

struct Survey {
  body::Sex sex;
  Moments stature, span, sitting, mass, reach;
  double span_stature_r, sitting_stature_r, span_sitting_r;
};
const Survey kMen = {body::Sex::kMale,
                     {1.7562, 0.0686},
                     {1.8142, 0.0846},
                     {0.9183, 0.0357},
                     {85.5, 14.2},
                     {2.2646, 0.1044},
                     0.82,
                     0.78,
                     0.48};
const Survey kWomen = {body::Sex::kFemale,
                       {1.6285, 0.0642},
                       {1.6603, 0.0830},
                       {0.8566, 0.0331},
                       {67.8, 11.0},
                       {2.0816, 0.0982},
                       0.82,
                       0.76,
                       0.43};

class Population : public testing::TestWithParam<Survey> {};

void expect_near(const Moments& found, const Moments& survey, double mean_share, double sd_share, const char* what) {
  EXPECT_NEAR(found.mean, survey.mean, mean_share * survey.mean) << what;
  EXPECT_NEAR(found.sd, survey.sd, sd_share * survey.sd) << what;
}

TEST_P(Population, HasTheSurveysMeansSpreadsAndCorrelations) {
  const Survey& survey = GetParam();
  const auto people = draw_people(survey.sex, kDraws);
  const auto stature = [](const body::Measures& m) { return m.stature_m; };
  const auto span = [](const body::Measures& m) { return *m.span_m; };
  const auto sitting = [](const body::Measures& m) { return *m.sitting_height_m; };
  expect_near(find_moments(people, stature), survey.stature, 0.005, 0.05, "stature");
  expect_near(find_moments(people, span), survey.span, 0.005, 0.05, "span");
  expect_near(find_moments(people, sitting), survey.sitting, 0.005, 0.05, "sitting height");
  expect_near(find_moments(people, [](const body::Measures& m) { return m.mass_kg; }), survey.mass, 0.02, 0.08, "mass");
  EXPECT_NEAR(find_correlation(people, stature, span), survey.span_stature_r, 0.03);
  EXPECT_NEAR(find_correlation(people, stature, sitting), survey.sitting_stature_r, 0.03);
  EXPECT_NEAR(find_correlation(people, span, sitting), survey.span_sitting_r, 0.05);
}

TEST_P(Population, ReachesOverheadAsTheSurveyDoes) {
  const Survey& survey = GetParam();
  const auto people = draw_people(survey.sex, 600);
  const Moments reach = find_moments(
      people, [](const body::Measures& m) { return body::find_standing_overhead_reach(body::make_body(m)); });
  expect_near(reach, survey.reach, 0.01, 0.15, "overhead reach");
}

INSTANTIATE_TEST_SUITE_P(Sexes, Population, testing::Values(kMen, kWomen),
                         [](const auto& sex) { return sex.param.sex == body::Sex::kMale ? "Men" : "Women"; });

TEST(Bodies, KeepTheirStrengthForTheirMass) {
  move::Climber climber;
  climber.measures.mass_kg = 70.0;
  climber.fingers.edge_force_N = 500.0;
  body::Measures measures;
  measures.mass_kg = 84.0;
  EXPECT_DOUBLE_EQ(put_in_body(climber, measures).fingers.edge_force_N, 600.0);
}

}  // namespace
}  // namespace steepwright::study
