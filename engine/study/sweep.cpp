#include "engine/study/sweep.h"

#include <cmath>

namespace steepwright::study {

int SweepAxis::count() const { return static_cast<int>(std::floor((upper - lower) / step + 1e-6)) + 1; }

double SweepAxis::value(int i) const { return lower + i * step; }

std::int64_t SweepQuestion::count() const {
  std::int64_t count = 1;
  for (const SweepAxis& axis : axes) count *= axis.count();
  return count;
}

std::vector<double> SweepQuestion::find_values(std::int64_t sample) const {
  std::vector<double> values;
  for (const SweepAxis& axis : axes) {
    values.push_back(axis.value(static_cast<int>(sample % axis.count())));
    sample /= axis.count();
  }
  return values;
}

SweepPoint judge_point(const move::Scene& scene, const SweepQuestion& question, const std::vector<double>& values) {
  std::vector<Knob> knobs;
  for (const SweepAxis& axis : question.axes) knobs.push_back(axis.knob);
  const TurnedScene turned = turn_knobs(scene, knobs, values);
  SweepPoint point;
  point.values = values;
  point.fault = turned.fault;
  if (!point.fault.empty()) return point;
  const body::Body body = body::make_body(turned.scene.climber.measures);
  JudgeOptions options;
  options.judging = question.judging;
  options.friction_factor = turned.friction_factor;
  point.judged = Judge(turned.scene.climber, body, options).judge_all(turned.scene);
  return point;
}

BreakPoint find_break_point(const move::Scene& scene, const SweepQuestion& question, const SweepPoint& held,
                            const SweepPoint& lost, double tolerance) {
  SweepPoint inner = held;
  SweepPoint outer = lost;
  const std::size_t axis = held.values.size() > 1 && held.values[0] == lost.values[0] ? 1 : 0;
  while (std::abs(outer.values[axis] - inner.values[axis]) > tolerance) {
    std::vector<double> values = inner.values;
    values[axis] = 0.5 * (inner.values[axis] + outer.values[axis]);
    SweepPoint middle = judge_point(scene, question, values);
    (middle.is_held() ? inner : outer) = std::move(middle);
  }
  BreakPoint found;
  found.axis = static_cast<int>(axis);
  if (inner.values.size() > 1) found.other = inner.values[1 - axis];
  found.held_value = inner.values[axis];
  found.lost_value = outer.values[axis];
  found.lost = outer.judged;
  found.fault = outer.fault;
  return found;
}

}  // namespace steepwright::study
