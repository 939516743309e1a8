#pragma once

/// One plain hold of every family.

#include "engine/core/units.h"
#include "engine/hold/hold.h"

#include <vector>

namespace steepwright::hold::tests {

/// mm and degrees, in the order in which a shaping sheet names them.
inline Shape shape(Family family, double width_mm, double height_mm, double protrusion_mm, double depth_mm,
                   double incut_deg, double lip_radius_mm) {
  Shape made;
  made.name = "test hold";
  made.family = family;
  made.width_m = m_from_mm(width_mm);
  made.height_m = m_from_mm(height_mm);
  made.protrusion_m = m_from_mm(protrusion_mm);
  made.depth_m = m_from_mm(depth_mm);
  made.incut = rad_from_deg(incut_deg);
  made.lip_radius_m = m_from_mm(lip_radius_mm);
  return made;
}

inline Shape edge(double depth_mm = 20, double incut_deg = 0) {
  return shape(Family::kEdge, 120, 40, depth_mm + 5, depth_mm, incut_deg, 3);
}
inline Shape sloper() { return shape(Family::kSloper, 250, 150, 110, 90, -30, 40); }
inline Shape pinch(double width_mm = 70) { return shape(Family::kPinch, width_mm, 160, 70, 50, 0, 8); }
inline Shape jug() { return shape(Family::kJug, 140, 80, 70, 45, 20, 10); }
inline Shape pocket(int fingers = 2, double width_mm = 42) {
  Shape made = shape(Family::kPocket, width_mm, 100, 45, 25, 5, 8);
  made.mouth_m = m_from_mm(22);
  made.fingers = fingers;
  return made;
}
inline Shape foot_chip() { return shape(Family::kFootChip, 50, 25, 15, 12, -5, 2); }
inline Shape volume() { return shape(Family::kVolume, 600, 500, 200, 220, -40, 5); }

inline std::vector<Shape> all_families() { return {edge(), sloper(), pinch(), jug(), pocket(), foot_chip(), volume()}; }

}  // namespace steepwright::hold::tests
