#pragma once

/// A reach map filled in: a value for every place of the fine lattice, to be painted.

#include "engine/study/reach_map.h"

#include <limits>
#include <vector>

namespace steepwright::study {

/// One strip's fine lattice, row by row from the bottom.
struct ReachRaster {
  int strip = 0;
  int n_i = 0, n_j = 0;
  double fine_m = 0.0;
  std::vector<float> effort;  ///< NaN where not held

  [[nodiscard]] float at(int i, int j) const { return effort[static_cast<std::size_t>(j * n_i + i)]; }
};

/// Solved places as they are; others like the ones that they hang together with, efforts between coarse places in
/// proportion. One raster a strip.
[[nodiscard]] std::vector<ReachRaster> make_reach_rasters(const ReachMap& map);

}  // namespace steepwright::study
