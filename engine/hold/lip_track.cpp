#include "engine/hold/lip_track.h"

#include "engine/core/units.h"

#include <Eigen/Dense>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>
#include <optional>
#include <utility>

namespace steepwright::hold {

namespace {

/// Sections of one lip line follow each other within these (own choice: what one finger cannot tell from the next).
constexpr double kStep_m = 1e-3;
constexpr double kStepDepth_m = 1.5e-3;
constexpr double kStepFacing = rad_from_deg(6.0);
/// A lip may run askew to the section's axis by this much per length.
constexpr double kStepSlope = 0.6;
/// Off the straight way on by more than this, the lip has a corner.
constexpr double kCorner_m = 1e-3;
constexpr double kCornerSlope = 0.1;
/// Sections missing between two of a track: a hole in the mesh, or a fit that failed.
constexpr int kMostMissing = 3;

/// A place along the lip line agrees with its middle within these.
constexpr double kAgreeDepth_m = 1e-3;
constexpr double kAgreeDepthShare = 0.12;
constexpr double kAgreeFacing = rad_from_deg(5.0);
constexpr double kAgreePosition_m = 1.5e-3;
constexpr double kAgreeMouthShare = 0.25;
constexpr std::size_t kFewestSections = 3;
/// A lip that bends tighter than a radius of 0.15 m is measured at its outermost part only.
constexpr double kTightBend = 1.0 / 0.15;
constexpr double kSummit_m = 6e-3;  ///< the parabola through a tight bend is off by some mm
/// Sections that cut the lip line at less than this off square see its true profile to 1 %.
constexpr double kSquareSlope = 0.12;

/// The lip line as q and z over x: parabolas, as lips bend.
struct LipLine {
  double x = 0.0;  ///< where the powers count from
  Vec3 q = Vec3::Zero(), z = Vec3::Zero();

  [[nodiscard]] Vec2 at(double place) const {
    const Vec3 powers(1.0, place - x, (place - x) * (place - x));
    return {q.dot(powers), z.dot(powers)};
  }
  [[nodiscard]] double find_slope(double place) const { return q[1] + 2.0 * q[2] * (place - x); }
};

double median_of(const std::vector<TrackedLip>& lips, const std::function<double(const TrackedLip&)>& value) {
  std::vector<double> values;
  values.reserve(lips.size());
  for (const TrackedLip& lip : lips) values.push_back(value(lip));
  return find_percentile(std::move(values), 0.5);
}

LipLine fit_line(const std::vector<TrackedLip>& lips) {
  LipLine line;
  line.x = 0.5 * (lips.front().x + lips.back().x);
  // In half lengths, so that the powers weigh alike.
  const double half = std::max(0.5 * (lips.back().x - lips.front().x), 1e-6);
  Mat3 A = 1e-9 * Mat3::Identity();
  Vec3 b_q = Vec3::Zero();
  Vec3 b_z = Vec3::Zero();
  for (const TrackedLip& lip : lips) {
    const double t = (lip.x - line.x) / half;
    const Vec3 powers(1.0, t, t * t);
    A += powers * powers.transpose();
    b_q += lip.fit.lip.x() * powers;
    b_z += lip.fit.lip.y() * powers;
  }
  const Vec3 scale(1.0, 1.0 / half, 1.0 / (half * half));
  const Eigen::LDLT<Mat3> solver(A);
  line.q = solver.solve(b_q).cwiseProduct(scale);
  line.z = solver.solve(b_z).cwiseProduct(scale);
  return line;
}

/// The lip goes on as it came: a corner in plan or elevation ends it.
bool goes_on(const std::vector<TrackedLip>& lips, const TrackedLip& next) {
  if (lips.size() < 2) return true;
  const TrackedLip& before = lips[lips.size() - 2];
  const TrackedLip& last = lips.back();
  const double share = (next.x - last.x) / (last.x - before.x);
  const Vec2 expected = last.fit.lip + share * (last.fit.lip - before.fit.lip);
  return (next.fit.lip - expected).norm() < (kCorner_m + kCornerSlope * (next.x - last.x)) * std::max(1.0, share);
}

bool follows(const std::vector<TrackedLip>& lips, const TrackedLip& next) {
  const TrackedLip& last = lips.back();
  const double position = kStep_m + kStepSlope * (next.x - last.x);
  const double depth = kStepDepth_m + 0.15 * last.fit.depth_m;
  return (next.fit.lip - last.fit.lip).norm() < position && std::abs(next.fit.depth_m - last.fit.depth_m) < depth &&
         std::abs(next.fit.floor_facing - last.fit.floor_facing) < kStepFacing &&
         (next.fit.mouth_m > 0.0) == (last.fit.mouth_m > 0.0) && goes_on(lips, next);
}

bool agrees(const TrackedLip& lip, const LipMedians& medians, const LipLine& line) {
  const double depth = std::max(kAgreeDepth_m, kAgreeDepthShare * medians.depth_m);
  const double mouth = kAgreePosition_m + kAgreeMouthShare * medians.mouth_m;
  return (lip.fit.lip - line.at(lip.x)).norm() < kAgreePosition_m &&
         std::abs(lip.fit.depth_m - medians.depth_m) < depth &&
         std::abs(lip.fit.floor_facing - medians.floor_facing) < kAgreeFacing &&
         std::abs(lip.fit.mouth_m - medians.mouth_m) < mouth && (lip.fit.mouth_m > 0.0) == (medians.mouth_m > 0.0);
}

struct OpenTrack {
  std::vector<TrackedLip> lips;
  int missing = 0;
};

/// Lips of the sections joined to runs.
std::vector<std::vector<TrackedLip>> join(const MeshCutter& cutter, const std::vector<double>& places) {
  std::vector<OpenTrack> tracks;
  for (const double x : places) {
    for (OpenTrack& track : tracks) ++track.missing;
    for (LipFit& fit : fit_lips(cutter.cut(x))) {
      TrackedLip lip = {x, std::move(fit)};
      const auto found = std::find_if(tracks.begin(), tracks.end(), [&lip](const OpenTrack& track) {
        return track.missing > 0 && track.missing <= kMostMissing + 1 && follows(track.lips, lip);
      });
      if (found == tracks.end()) {
        tracks.push_back({{std::move(lip)}, 0});
      } else {
        found->lips.push_back(std::move(lip));
        found->missing = 0;
      }
    }
  }
  std::vector<std::vector<TrackedLip>> runs;
  runs.reserve(tracks.size());
  for (OpenTrack& track : tracks) runs.push_back(std::move(track.lips));
  return runs;
}

bool has_lip(const MeshCutter& cutter, double x, const LipMedians& medians, const LipLine& line) {
  std::vector<LipFit> fits = fit_lips(cutter.cut(x));
  return std::any_of(fits.begin(), fits.end(), [&](LipFit& fit) { return agrees({x, std::move(fit)}, medians, line); });
}

/// Moves an end of the lip line from the last agreeing section outward to where agreement stops.
double find_end(const MeshCutter& cutter, double inside, double spacing, const LipMedians& medians,
                const LipLine& line) {
  double outside = inside + spacing;
  for (int step = 0; step < kMostMissing && has_lip(cutter, outside, medians, line); ++step) {
    inside = outside;
    outside += spacing;
  }
  while (std::abs(outside - inside) > kEnd_m) {
    const double x = 0.5 * (inside + outside);
    (has_lip(cutter, x, medians, line) ? inside : outside) = x;
  }
  return inside;
}

/// The sections that cut the lip line squarely; of a line that is nowhere square, those that do so most.
std::vector<TrackedLip> find_square(const std::vector<TrackedLip>& lips, const LipLine& line) {
  std::vector<double> slopes;
  slopes.reserve(lips.size());
  for (const TrackedLip& lip : lips) slopes.push_back(std::abs(line.find_slope(lip.x)));
  std::vector<double> sorted = slopes;
  std::sort(sorted.begin(), sorted.end());
  const double limit = std::max(kSquareSlope, sorted[std::min(kFewestSections, sorted.size()) - 1]);
  std::vector<TrackedLip> square;
  for (std::size_t i = 0; i < lips.size(); ++i) {
    if (slopes[i] <= limit) square.push_back(lips[i]);
  }
  return square;
}

/// Sections through the outermost part of a lip that bends tightly, where they are square to it.
std::vector<TrackedLip> cut_summit(const MeshCutter& cutter, const LipLine& line, const LipTrack& track) {
  const double summit_x = std::clamp(line.x - 0.5 * line.q[1] / line.q[2], track.start_x, track.end_x);
  std::vector<TrackedLip> lips;
  for (const double share : {-0.05, -0.025, 0.003, 0.025, 0.05}) {
    const double x = summit_x + share / track.bend;
    for (LipFit& fit : fit_lips(cutter.cut(x))) {
      if ((fit.lip - line.at(x)).norm() < kSummit_m) lips.push_back({x, std::move(fit)});
    }
  }
  return lips.empty() ? find_square(track.lips, line) : lips;
}

std::optional<LipTrack> make_track(const MeshCutter& cutter, const std::vector<TrackedLip>& run, double spacing) {
  if (run.size() < kFewestSections) return std::nullopt;
  const LipLine first_line = fit_line(run);
  const LipMedians first = find_medians(find_square(run, first_line));
  LipTrack track;
  for (const TrackedLip& lip : run) {
    if (agrees(lip, first, first_line)) track.lips.push_back(lip);
  }
  if (track.lips.size() < kFewestSections) return std::nullopt;
  const LipLine line = fit_line(track.lips);
  const LipMedians medians = find_medians(find_square(track.lips, line));
  track.start_x = find_end(cutter, track.lips.front().x, -spacing, medians, line);
  track.end_x = find_end(cutter, track.lips.back().x, spacing, medians, line);
  track.bend = -2.0 * line.q[2];
  const bool is_tight = track.bend > kTightBend;
  track.lips = is_tight ? cut_summit(cutter, line, track) : find_square(track.lips, line);
  return track;
}

}  // namespace

double find_percentile(std::vector<double> values, double share) {
  if (values.empty()) return 0.0;
  std::sort(values.begin(), values.end());
  const double at = share * static_cast<double>(values.size() - 1);
  const auto low = static_cast<std::size_t>(at);
  const std::size_t high = std::min(low + 1, values.size() - 1);
  return values[low] + (at - static_cast<double>(low)) * (values[high] - values[low]);
}

LipMedians find_medians(const std::vector<TrackedLip>& lips) {
  LipMedians medians;
  medians.q = median_of(lips, [](const TrackedLip& lip) { return lip.fit.lip.x(); });
  medians.z = median_of(lips, [](const TrackedLip& lip) { return lip.fit.lip.y(); });
  medians.depth_m = median_of(lips, [](const TrackedLip& lip) { return lip.fit.depth_m; });
  medians.floor_facing = median_of(lips, [](const TrackedLip& lip) { return lip.fit.floor_facing; });
  medians.radius_m = median_of(lips, [](const TrackedLip& lip) { return lip.fit.radius_m; });
  medians.mouth_m = median_of(lips, [](const TrackedLip& lip) { return lip.fit.mouth_m; });
  medians.residual_m = median_of(lips, [](const TrackedLip& lip) { return lip.fit.residual_m; });
  return medians;
}

std::vector<LipTrack> find_tracks(const MeshCutter& cutter, int cuts) {
  std::vector<LipTrack> tracks;
  const double spacing = (cutter.upper_x() - cutter.lower_x()) / cuts;
  if (spacing <= 0.0) return tracks;
  // Off the middle of each interval, so that sections do not run through vertices of regular meshes.
  constexpr double kOffset = 0.4637;
  std::vector<double> places;
  places.reserve(static_cast<std::size_t>(cuts));
  for (int i = 0; i < cuts; ++i) places.push_back(cutter.lower_x() + spacing * (i + kOffset));
  for (const auto& run : join(cutter, places)) {
    if (auto track = make_track(cutter, run, spacing)) tracks.push_back(std::move(*track));
  }
  return tracks;
}

}  // namespace steepwright::hold
