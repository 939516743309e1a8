#pragma once

/// Sweeps of one or two knobs, and the values at which a move begins or stops to hold, by bisection.

#include "engine/study/judge.h"
#include "engine/study/knob.h"

#include <cstdint>

namespace steepwright::study {

/// Values of one knob, lower to upper in equal steps.
struct SweepAxis {
  Knob knob;
  double lower = 0.0, upper = 0.0, step = 1.0;

  [[nodiscard]] int count() const;
  [[nodiscard]] double value(int i) const;
};

struct SweepQuestion {
  std::vector<SweepAxis> axes;  ///< one or two; the first one runs fastest
  Judging judging = Judging::kStances;

  [[nodiscard]] std::int64_t count() const;
  /// Values of the axes at a sample.
  [[nodiscard]] std::vector<double> find_values(std::int64_t sample) const;
};

/// A judged point of the sweep.
struct SweepPoint {
  std::vector<double> values;
  std::string fault;  ///< why the scene cannot be built there, "" when it can
  Judged judged;
  [[nodiscard]] bool is_held() const { return fault.empty() && judged.is_held; }
};

/// All the scene's moves at one point: the one that decides.
[[nodiscard]] SweepPoint judge_point(const move::Scene& scene, const SweepQuestion& question,
                                     const std::vector<double>& values);

/// Where, along one axis, the verdict changes between two values.
struct BreakPoint {
  int axis = 0;                               ///< along which the value was sought
  double other = 0.0;                         ///< value of the other axis, when there is one
  double held_value = 0.0, lost_value = 0.0;  ///< within the tolerance of each other
  Judged lost;
  std::string fault;
  [[nodiscard]] double value() const { return 0.5 * (held_value + lost_value); }
};

/// Bisects between two points whose verdicts differ and whose values differ along one axis, to a distance of at most
/// `tolerance`.
[[nodiscard]] BreakPoint find_break_point(const move::Scene& scene, const SweepQuestion& question,
                                          const SweepPoint& held, const SweepPoint& lost, double tolerance);

}  // namespace steepwright::study
