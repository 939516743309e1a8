#pragma once

/// Lips followed from section to section along one side of a mesh.

#include "engine/hold/lip_fit.h"

#include <vector>

namespace steepwright::hold {

struct TrackedLip {
  double x = 0.0;  ///< of the section, m
  LipFit fit;
};

/// Sections that agree with each other and cut the lip squarely, in order of x.
struct LipTrack {
  std::vector<TrackedLip> lips;
  double start_x = 0.0, end_x = 0.0;  ///< of the lip line, found to kEnd_m
  double bend = 0.0;                  ///< 1/m, curvature of the lip seen from the front; positive: bulging along q
};

/// How exactly the ends of a lip line are found, m (a tenth of what the width's use asks for).
inline constexpr double kEnd_m = 2e-4;

/// Medians of a track's sections.
struct LipMedians {
  double q = 0.0, z = 0.0, depth_m = 0.0, floor_facing = 0.0, radius_m = 0.0, mouth_m = 0.0, residual_m = 0.0;
};
[[nodiscard]] LipMedians find_medians(const std::vector<TrackedLip>& lips);

/// Percentile (0 to 1) of values; they need not be sorted.
[[nodiscard]] double find_percentile(std::vector<double> values, double share);

/// All lip lines with a floor towards +q.
[[nodiscard]] std::vector<LipTrack> find_tracks(const MeshCutter& cutter, int cuts);

}  // namespace steepwright::hold
