#pragma once

/// Pictures of a sweep: effort and slip margin along one dimension, or a field over two.

#include "engine/io/drawing.h"
#include "engine/move/scene.h"
#include "engine/study/sweep.h"

#include <string>
#include <vector>

namespace steepwright::io {

struct TuneReport {
  const move::Scene* scene = nullptr;
  study::SweepQuestion question;
  std::vector<study::SweepPoint> points;  ///< in the order of the samples
  std::vector<study::BreakPoint> breaks;
};

/// "angle of 'main', deg"
[[nodiscard]] std::string describe_axis(const move::Scene& scene, const study::SweepAxis& axis);

/// A line with one axis, a field with two. The report outlives the drawing.
[[nodiscard]] Drawing make_tune_picture(const TuneReport& report);

}  // namespace steepwright::io
