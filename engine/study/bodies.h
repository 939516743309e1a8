#pragma once

/// The same moves by many bodies: who holds them, who does not and why.

#include "engine/study/judge.h"
#include "engine/study/population.h"

#include <array>
#include <map>
#include <vector>

namespace steepwright::study {

struct BodiesQuestion {
  std::vector<body::Sex> sexes = {body::Sex::kFemale, body::Sex::kMale};  ///< drawn in turn
  std::uint64_t seed = 1;
  std::vector<move::Climber> people;  ///< a list in place of a population, when not empty
  Judging judging = Judging::kStances;
};

/// The body of a sample: drawn from its own seed, or from the list.
[[nodiscard]] move::Climber find_person(const BodiesQuestion& question, const move::Climber& like, std::int64_t sample);

/// The scene's moves by another climber: the move that decides.
[[nodiscard]] Judged judge_person(const move::Scene& scene, const move::Climber& person, Judging judging);

/// One judged body.
struct BodyRow {
  std::string name;
  body::Sex sex = body::Sex::kMale;
  double stature_m = 0.0, span_m = 0.0, sitting_height_m = 0.0, mass_kg = 0.0;
  Judged judged;
};

/// Share with its interval of 95 % (Wilson 1927).
struct Share {
  std::int64_t n = 0, n_held = 0;
  [[nodiscard]] double value() const { return n > 0 ? static_cast<double>(n_held) / static_cast<double>(n) : 0.0; }
  [[nodiscard]] std::array<double, 2> interval() const;
};

/// Share over stature and span, in bins; a sum over any number of bodies takes the same room.
class BodyMap {
 public:
  static constexpr double kBin_m = 0.02;
  static constexpr double kLeastStature_m = 1.30, kMostStature_m = 2.20;
  static constexpr double kLeastSpan_m = 1.20, kMostSpan_m = 2.40;

  void add(const BodyRow& row);
  [[nodiscard]] int n_statures() const;
  [[nodiscard]] int n_spans() const;
  [[nodiscard]] const Share& at(int i, int j) const;
  /// Share around a stature and span, weighted by a bell of `width_m`; nothing where there are fewer bodies than
  /// `least`.
  [[nodiscard]] std::optional<double> find_smooth_share(double stature_m, double span_m, double width_m,
                                                        double least) const;

 private:
  std::vector<Share> bins_ = std::vector<Share>(static_cast<std::size_t>(n_statures() * n_spans()));
};

/// Everything that a study of bodies sums up.
struct BodiesTally {
  Share all, women, men;
  std::map<std::string, std::int64_t> causes;  ///< "grip of the left hand": how many bodies
  BodyMap map;
  double effort_sum = 0.0;  ///< of those that hold

  void add(const BodyRow& row);
};

/// "reach of the right hand", "slip", "grip of the left hand".
[[nodiscard]] std::string describe_failure(const Judged& judged);

}  // namespace steepwright::study
