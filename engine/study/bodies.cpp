#include "engine/study/bodies.h"

#include "engine/study/hand_out.h"

#include <algorithm>
#include <cmath>

namespace steepwright::study {

move::Climber find_person(const BodiesQuestion& question, const move::Climber& like, std::int64_t sample) {
  const auto k = static_cast<std::size_t>(sample);
  if (!question.people.empty()) return question.people[k];
  RandomStream random(find_sample_seed(question.seed, sample));
  const body::Sex sex = question.sexes[k % question.sexes.size()];
  return put_in_body(like, draw_measures(sex, like.measures, random));
}

Judged judge_person(const move::Scene& scene, const move::Climber& person, Judging judging) {
  move::Scene own = scene;
  own.climber = person;
  const body::Body body = body::make_body(person.measures);
  JudgeOptions options;
  options.judging = judging;
  return Judge(person, body, options).judge_all(own);
}

std::array<double, 2> Share::interval() const {
  if (n == 0) return {0.0, 1.0};
  constexpr double kZ = 1.96;
  const double count = static_cast<double>(n);
  const double middle = (value() + kZ * kZ / (2.0 * count)) / (1.0 + kZ * kZ / count);
  const double half =
      kZ / (1.0 + kZ * kZ / count) * std::sqrt(value() * (1.0 - value()) / count + kZ * kZ / (4.0 * count * count));
  return {std::max(0.0, middle - half), std::min(1.0, middle + half)};
}

int BodyMap::n_statures() const { return static_cast<int>(std::lround((kMostStature_m - kLeastStature_m) / kBin_m)); }
int BodyMap::n_spans() const { return static_cast<int>(std::lround((kMostSpan_m - kLeastSpan_m) / kBin_m)); }

const Share& BodyMap::at(int i, int j) const { return bins_[static_cast<std::size_t>(j * n_statures() + i)]; }

void BodyMap::add(const BodyRow& row) {
  const int i = static_cast<int>(std::floor((row.stature_m - kLeastStature_m) / kBin_m));
  const int j = static_cast<int>(std::floor((row.span_m - kLeastSpan_m) / kBin_m));
  if (i < 0 || j < 0 || i >= n_statures() || j >= n_spans()) return;
  Share& bin = bins_[static_cast<std::size_t>(j * n_statures() + i)];
  ++bin.n;
  bin.n_held += row.judged.is_held ? 1 : 0;
}

std::optional<double> BodyMap::find_smooth_share(double stature_m, double span_m, double width_m, double least) const {
  double weight_sum = 0.0;
  double held_sum = 0.0;
  for (int j = 0; j < n_spans(); ++j) {
    for (int i = 0; i < n_statures(); ++i) {
      if (at(i, j).n == 0) continue;
      const double x = (kLeastStature_m + (i + 0.5) * kBin_m - stature_m) / width_m;
      const double y = (kLeastSpan_m + (j + 0.5) * kBin_m - span_m) / width_m;
      const double weight = std::exp(-0.5 * (x * x + y * y));
      weight_sum += weight * static_cast<double>(at(i, j).n);
      held_sum += weight * static_cast<double>(at(i, j).n_held);
    }
  }
  if (weight_sum < least) return std::nullopt;
  return held_sum / weight_sum;
}

std::string describe_failure(const Judged& judged) {
  std::string text(move::name_of(judged.cause));
  if (judged.limb) text += " of the " + std::string(long_name(*judged.limb));
  return text;
}

void BodiesTally::add(const BodyRow& row) {
  for (Share* share : {&all, row.sex == body::Sex::kFemale ? &women : &men}) {
    ++share->n;
    share->n_held += row.judged.is_held ? 1 : 0;
  }
  map.add(row);
  if (row.judged.is_held) {
    effort_sum += row.judged.effort;
  } else {
    ++causes[describe_failure(row.judged)];
  }
}

}  // namespace steepwright::study
