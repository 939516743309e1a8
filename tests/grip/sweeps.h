#pragma once

/// One dimension of a site or pull varied in fine steps, everything else held: for the continuity test and the plots.

#include "engine/core/units.h"
#include "engine/grip/capacity.h"

#include <array>
#include <vector>

namespace steepwright::tests {

/// A four-finger edge of raw wood.
struct EdgeShape {
  const char* name = "";
  double depth_mm = 20.0, incut_deg = 0.0, lip_radius_mm = 4.0;
  double swing_deg = 0.0;  ///< of the forearm
};

enum class Swept { kDepth, kIncut, kLipRadius, kForearmSwing };

struct SweepRange {
  Swept what = Swept::kDepth;
  const char* name = "";
  const char* unit = "";
  double first = 0.0, last = 0.0, step = 0.0;
};

inline constexpr std::array<SweepRange, 4> kSweepRanges = {{
    {Swept::kDepth, "depth", "mm", 6.0, 45.0, 0.25},
    {Swept::kIncut, "incut", "deg", -10.0, 25.0, 0.5},
    {Swept::kLipRadius, "lip radius", "mm", 0.0, 15.0, 0.25},
    {Swept::kForearmSwing, "forearm swing", "deg", 0.0, 110.0, 1.0},
}};

inline constexpr std::array<Grip, 3> kSweptGrips = {Grip::kOpenHand, Grip::kHalfCrimp, Grip::kFullCrimp};

inline EdgeShape with(EdgeShape shape, Swept what, double value) {
  switch (what) {
    case Swept::kDepth:
      shape.depth_mm = value;
      break;
    case Swept::kIncut:
      shape.incut_deg = value;
      break;
    case Swept::kLipRadius:
      shape.lip_radius_mm = value;
      break;
    case Swept::kForearmSwing:
      shape.swing_deg = value;
      break;
  }
  return shape;
}

inline hold::Site make_edge_site(const EdgeShape& shape) {
  hold::Site site;
  site.width_m = 0.12;
  site.depth_m = m_from_mm(shape.depth_mm);
  site.incut = rad_from_deg(shape.incut_deg);
  site.lip_radius_m = m_from_mm(shape.lip_radius_mm);
  return site;
}

/// A hand of average size that holds 450 N on the reference edge.
inline grip::Hand make_sweep_hand() {
  grip::FingerStrength strength;
  strength.edge_force_N = 450.0;
  return grip::make_hand({}, strength);
}

struct SweepPoint {
  double at = 0.0;  ///< in the range's unit
  CapacitySet set;
};

inline std::vector<SweepPoint> make_sweep(const SweepRange& range, const EdgeShape& base, Grip grip,
                                          const grip::Hand& hand, grip::FingerSearch& search) {
  std::vector<SweepPoint> points;
  const int steps = static_cast<int>((range.last - range.first) / range.step + 0.5);
  for (int i = 0; i <= steps; ++i) {
    const double at = range.first + range.step * i;
    const EdgeShape shape = with(base, range.what, at);
    const hold::Site site = make_edge_site(shape);
    points.push_back({at, grip::make_hand_capacity({&site, grip, &hand, rad_from_deg(shape.swing_deg)}, search)});
  }
  return points;
}

}  // namespace steepwright::tests
