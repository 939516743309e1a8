#include "engine/study/reach_raster.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <deque>
#include <iterator>
#include <limits>
#include <map>

namespace steepwright::study {

namespace {

constexpr float kNone = std::numeric_limits<float>::quiet_NaN();

class Filler {
 public:
  Filler(ReachRaster& raster, int refine) : raster_(raster), refine_(refine), is_known_(raster.effort.size(), 0) {}

  void set(const ReachPlace& place) {
    const std::size_t k = index(place.i, place.j);
    raster_.effort[k] = place.is_held ? static_cast<float>(place.effort) : kNone;
    is_known_[k] = 1;
  }

  void fill() {
    const std::vector<char> is_solved = is_known_;
    spread();
    for (int j = 0; j < raster_.n_j; ++j) {
      for (int i = 0; i < raster_.n_i; ++i) {
        const std::size_t k = index(i, j);
        if (is_solved[k] == 0 && !std::isnan(raster_.effort[k])) blend(i, j);
      }
    }
  }

 private:
  [[nodiscard]] std::size_t index(int i, int j) const { return static_cast<std::size_t>(j * raster_.n_i + i); }

  /// Unknown places take after a known neighbour, outward from all known ones at once. Across the border both sides are
  /// known, so nothing spreads over it.
  void spread() {
    std::deque<std::array<int, 2>> queue;
    for (int j = 0; j < raster_.n_j; ++j) {
      for (int i = 0; i < raster_.n_i; ++i) {
        if (is_known_[index(i, j)] != 0) queue.push_back({i, j});
      }
    }
    while (!queue.empty()) {
      const auto [i, j] = queue.front();
      queue.pop_front();
      for (const auto& [di, dj] : std::array<std::array<int, 2>, 4>{{{1, 0}, {-1, 0}, {0, 1}, {0, -1}}}) {
        const int ni = i + di;
        const int nj = j + dj;
        if (ni < 0 || nj < 0 || ni >= raster_.n_i || nj >= raster_.n_j || is_known_[index(ni, nj)] != 0) continue;
        is_known_[index(ni, nj)] = 1;
        raster_.effort[index(ni, nj)] = raster_.effort[index(i, j)];
        queue.push_back({ni, nj});
      }
    }
  }

  /// Between the four coarse places around, when all are held.
  void blend(int i, int j) {
    const int i0 = i / refine_ * refine_;
    const int j0 = j / refine_ * refine_;
    const int i1 = std::min(i0 + refine_, raster_.n_i - 1);
    const int j1 = std::min(j0 + refine_, raster_.n_j - 1);
    const float a = static_cast<float>(i - i0) / static_cast<float>(refine_);
    const float b = static_cast<float>(j - j0) / static_cast<float>(refine_);
    const float blended = (1.0F - b) * ((1.0F - a) * raster_.at(i0, j0) + a * raster_.at(i1, j0)) +
                          b * ((1.0F - a) * raster_.at(i0, j1) + a * raster_.at(i1, j1));
    if (!std::isnan(blended)) raster_.effort[index(i, j)] = blended;
  }

  ReachRaster& raster_;
  int refine_;
  std::vector<char> is_known_;
};

int find_band(float effort) {
  const auto band = std::lower_bound(kReachBands.begin(), kReachBands.end(), static_cast<double>(effort) - 1e-6);
  return static_cast<int>(std::min<std::ptrdiff_t>(band - kReachBands.begin(), std::ssize(kReachBands) - 1));
}

}  // namespace

std::vector<ReachRun> find_runs(const ReachRaster& raster) {
  std::vector<ReachRun> runs;
  for (int j = 0; j < raster.n_j; ++j) {
    for (int i = 0; i < raster.n_i; ++i) {
      const float effort = raster.at(i, j);
      if (std::isnan(effort)) continue;
      const int band = find_band(effort);
      const bool is_beside = !runs.empty() && runs.back().j == j && runs.back().end == i;
      if (is_beside && runs.back().band == band) {
        ++runs.back().end;
        continue;
      }
      if (is_beside) runs.back().has_neighbour = true;
      runs.push_back({j, i, i + 1, band, false});
    }
  }
  return runs;
}

std::vector<ReachRaster> make_reach_rasters(const ReachMap& map) {
  std::map<int, ReachRaster> rasters;
  for (const ReachPlace& place : map.places) {
    ReachRaster& raster = rasters[place.strip];
    raster.strip = place.strip;
    raster.fine_m = map.fine_m;
    raster.n_i = std::max(raster.n_i, place.i + 1);
    raster.n_j = std::max(raster.n_j, place.j + 1);
  }
  std::vector<ReachRaster> filled;
  for (auto& [strip, raster] : rasters) {
    raster.effort.assign(static_cast<std::size_t>(raster.n_i) * static_cast<std::size_t>(raster.n_j), kNone);
    Filler filler(raster, static_cast<int>(std::lround(map.pitch_m / map.fine_m)));
    for (const ReachPlace& place : map.places) {
      if (place.strip == strip) filler.set(place);
    }
    filler.fill();
    filled.push_back(std::move(raster));
  }
  return filled;
}

}  // namespace steepwright::study
