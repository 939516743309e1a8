/// Bolt points and joists of a strip.

#include "engine/wall/wall.h"

#include <algorithm>
#include <cmath>

namespace steepwright::wall {

namespace {

/// A bolt point on the very edge still counts as on the strip, whatever the rounding of the sums.
constexpr double kEdgeTolerance_m = 1e-9;
/// Finer lattices are not built (check_wall says so): it would be millions of points.
constexpr double kLeastPitch_m = 0.01;

bool is_usable(const Lattice& lattice) {
  return lattice.pitch_across_m >= kLeastPitch_m && lattice.pitch_up_m >= kLeastPitch_m &&
         std::isfinite(lattice.pitch_across_m) && std::isfinite(lattice.pitch_up_m) &&
         std::isfinite(lattice.first_across_m) && std::isfinite(lattice.first_up_m) && std::isfinite(lattice.stagger_m);
}

double first_across_of_row(const Lattice& lattice, long row) {
  return lattice.first_across_m + (row % 2 != 0 ? lattice.stagger_m : 0.0);
}

}  // namespace

std::vector<Eigen::Vector2d> make_lattice_points(const Strip& strip) {
  std::vector<Eigen::Vector2d> points;
  if (!strip.lattice || !is_usable(*strip.lattice)) return points;
  const Lattice& lattice = *strip.lattice;
  for (long row = 0;; ++row) {
    const double up_m = lattice.first_up_m + static_cast<double>(row) * lattice.pitch_up_m;
    if (!(up_m <= strip.length_m + kEdgeTolerance_m)) break;
    if (up_m < -kEdgeTolerance_m) continue;
    for (long column = 0;; ++column) {
      const double across_m = first_across_of_row(lattice, row) + static_cast<double>(column) * lattice.pitch_across_m;
      if (!(across_m <= strip.width_m + kEdgeTolerance_m)) break;
      if (across_m >= -kEdgeTolerance_m) points.emplace_back(across_m, up_m);
    }
  }
  return points;
}

std::optional<Eigen::Vector2d> find_lattice_point(const Strip& strip, double across_m, double up_m,
                                                  double tolerance_m) {
  if (!strip.lattice || !is_usable(*strip.lattice)) return std::nullopt;
  const Lattice& lattice = *strip.lattice;
  std::optional<Eigen::Vector2d> best;
  double best_distance_m = tolerance_m;
  // The nearest point lies in one of the rows beside (staggered rows may make the farther row the nearer one).
  const long near_row = std::lround((up_m - lattice.first_up_m) / lattice.pitch_up_m);
  for (long row = std::max(0L, near_row - 1); row <= near_row + 1; ++row) {
    const double first_m = first_across_of_row(lattice, row);
    const long near_column = std::lround((across_m - first_m) / lattice.pitch_across_m);
    for (long column = std::max(0L, near_column - 1); column <= near_column + 1; ++column) {
      const Eigen::Vector2d point(first_m + static_cast<double>(column) * lattice.pitch_across_m,
                                  lattice.first_up_m + static_cast<double>(row) * lattice.pitch_up_m);
      const bool is_on_strip = point.x() >= -kEdgeTolerance_m && point.x() <= strip.width_m + kEdgeTolerance_m &&
                               point.y() >= -kEdgeTolerance_m && point.y() <= strip.length_m + kEdgeTolerance_m;
      const double distance_m = std::hypot(point.x() - across_m, point.y() - up_m);
      if (is_on_strip && distance_m <= best_distance_m) {
        best = point;
        best_distance_m = distance_m;
      }
    }
  }
  return best;
}

bool is_on_joist(const Strip& strip, double across_m, double clearance_m) {
  if (!strip.joists || !(strip.joists->spacing_m > 0.0)) return false;
  const Joists& joists = *strip.joists;
  // Joists stand at first + k spacing, k = 0, 1, ..., as far as they back the strip.
  const double half_m = 0.5 * joists.width_m;
  const double last_k = std::floor((strip.width_m + half_m - joists.first_m) / joists.spacing_m);
  if (last_k < 0.0) return false;
  const double k = std::clamp(std::round((across_m - joists.first_m) / joists.spacing_m), 0.0, last_k);
  return std::abs(across_m - (joists.first_m + k * joists.spacing_m)) < half_m + clearance_m;
}

}  // namespace steepwright::wall
