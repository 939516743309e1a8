#pragma once

/// A reach map filled in: a value for every place of the fine lattice, to be painted.

#include "engine/study/reach_map.h"

#include <array>
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

/// Efforts at which the bands of a picture end; a band has the colour of its upper end: what is left to the limit is
/// never painted better than it is. Efforts beyond the last are its.
inline constexpr std::array<double, 8> kReachBands = {0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0};

/// Places of one band side by side in a row: columns i to end, without end.
struct ReachRun {
  int j = 0, i = 0, end = 0;
  int band = 0;                ///< index in kReachBands
  bool has_neighbour = false;  ///< the place at `end` is held too, in another band
};

/// Row by row from the bottom, from the left; places that are not held are in none.
[[nodiscard]] std::vector<ReachRun> find_runs(const ReachRaster& raster);

/// Solved places as they are; others like the ones that they hang together with, efforts between coarse places in
/// proportion. One raster a strip.
[[nodiscard]] std::vector<ReachRaster> make_reach_rasters(const ReachMap& map);

}  // namespace steepwright::study
