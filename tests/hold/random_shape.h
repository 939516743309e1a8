#pragma once

/// Random shapes that check_shape lets pass.

#include "engine/core/random.h"
#include "engine/core/units.h"
#include "engine/hold/hold.h"

#include <algorithm>
#include <cmath>

namespace steepwright::hold::tests {

namespace random_shape {

/// Mostly anything between the limits, now and then a limit itself; whole tenths of a mm as files have them.
inline double draw(RandomStream& random, double lower, double upper) {
  if (random.uniform() < 0.05) return random.uniform() < 0.5 ? lower : upper;
  return std::clamp(0.1 * std::round(10.0 * random.uniform(lower, upper)), lower, upper);
}

inline Shape draw_shape(RandomStream& random, Family family) {
  Shape shape;
  shape.name = "drawn";
  shape.family = family;
  const auto length = [&](double lower, double upper) { return m_from_mm(draw(random, lower, upper)); };
  const double scale = family == Family::kVolume ? 5.0 : 1.0;
  shape.width_m = length(36 * scale, 150 * scale);
  shape.height_m = length(20 * scale, 200 * scale);
  shape.protrusion_m = length(6 * scale, 100 * scale);
  shape.depth_m = length(4 * scale, 90 * scale);
  shape.incut = rad_from_deg(draw(random, -45, 45));
  shape.lip_radius_m = length(0, 30);
  if (family == Family::kSloper && random.uniform() < 0.5) shape.height_m = shape.width_m;
  if (family == Family::kPocket) {
    shape.mouth_m = length(12, 60);
    shape.fingers = 2;
  }
  // A floor down to the panel is the other half of all cases.
  if (random.uniform() < 0.5) shape.protrusion_m = shape.depth_m * std::cos(shape.incut);
  return shape;
}

}  // namespace random_shape

/// The next shape of the family that can be made.
inline Shape draw_shape(RandomStream& random, Family family) {
  for (;;) {
    Shape shape = random_shape::draw_shape(random, family);
    if (check_shape(shape).empty()) return shape;
  }
}

}  // namespace steepwright::hold::tests
