#include "engine/hold/measure.h"

#include "engine/core/units.h"
#include "engine/hold/grips.h"
#include "engine/hold/lip_track.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <utility>

namespace steepwright::hold {

namespace {

/// Up-slope, left flank, right flank, underside: turns about the panel's normal.
constexpr std::array<double, 4> kTurns = {0.0, 0.5 * kPi, -0.5 * kPi, kPi};
constexpr double kUp = kTurns[0];
constexpr double kLeft = kTurns[1];
constexpr double kRight = kTurns[2];

/// Least floor and width for a finger: the tip of the pad, one finger (as in grips.cpp, assumed).
constexpr double kFingerDepth_m = 0.004;
/// Least width for the edge of a shoe (assumed).
constexpr double kLeastWidth_m = 0.008;
/// A mouth takes a shoe's toe from these sizes on (as in hold.cpp, assumed).
constexpr double kToeWidth_m = 0.035;
constexpr double kToeHeight_m = 0.022;
/// A hole around the bolt's axis that is no wider than a countersunk head is no pocket (common practice, no source).
constexpr double kBoltHole_m = 0.024;
/// What makes a sloper, a jug (limits of grips.cpp) and a top (assumed: the palm rests on such a rounding).
constexpr double kSloping = rad_from_deg(-8.0);
constexpr double kWellRounded_m = 0.02;
constexpr double kJugDepth_m = 0.025;
constexpr double kJugIncut = rad_from_deg(8.0);

Mat3 find_site_axes(double turn, double floor_facing) {
  const double s = std::sin(floor_facing);
  const double c = std::cos(floor_facing);
  Mat3 R;
  R.col(0) = Vec3(1.0, 0.0, 0.0);
  R.col(1) = Vec3(0.0, c, -s);
  R.col(2) = Vec3(0.0, s, c);
  return Eigen::AngleAxisd(turn, Vec3::UnitZ()).toRotationMatrix() * R;
}

Spread find_spread(const std::vector<TrackedLip>& lips) {
  std::vector<double> depths;
  std::vector<double> facings;
  std::vector<double> radii;
  for (const TrackedLip& lip : lips) {
    depths.push_back(lip.fit.depth_m);
    facings.push_back(lip.fit.floor_facing);
    radii.push_back(lip.fit.radius_m);
  }
  const auto half_range = [](const std::vector<double>& values) {
    return 0.5 * (find_percentile(values, 0.9) - find_percentile(values, 0.1));
  };
  return {half_range(depths), half_range(facings), half_range(radii)};
}

/// The section that stands for the track: nearest to its medians, in mm and a degree as a mm.
const TrackedLip& find_typical(const std::vector<TrackedLip>& lips, const LipMedians& medians) {
  const auto distance = [&medians](const TrackedLip& lip) {
    return std::abs(lip.fit.depth_m - medians.depth_m) + std::abs(lip.fit.radius_m - medians.radius_m) +
           1e-3 * deg_from_rad(std::abs(lip.fit.floor_facing - medians.floor_facing));
  };
  return *std::min_element(lips.begin(), lips.end(),
                           [&](const TrackedLip& a, const TrackedLip& b) { return distance(a) < distance(b); });
}

/// Length of the lip line; on a dome that of the floor's inner end, where hand and palm lie, as the lip itself is
/// short.
double find_width(const LipTrack& track, const LipMedians& medians, const MeshCutter& cutter) {
  const double lip_m = track.end_x - track.start_x;
  const double reach_m = medians.depth_m * std::max(0.0, std::cos(medians.floor_facing));
  const double width_m = lip_m * (1.0 + reach_m * std::max(0.0, track.bend));
  return std::min(width_m, cutter.upper_x() - cutter.lower_x());
}

MeasuredSite describe(const LipTrack& track, const MeshCutter& cutter, double turn, Surface surface) {
  const LipMedians medians = find_medians(track.lips);
  const TrackedLip& typical = find_typical(track.lips, medians);
  MeasuredSite measured;
  measured.turn = turn;
  measured.profile = typical.fit;
  measured.section = cutter.cut(typical.x);
  measured.spread = find_spread(track.lips);
  measured.residual_m = medians.residual_m;
  measured.sections = track.lips.size();
  for (const TrackedLip& lip : track.lips) measured.bridged += lip.fit.is_bridged ? 1 : 0;
  Site& site = measured.site;
  site.width_m = find_width(track, medians, cutter);
  site.depth_m = medians.depth_m;
  site.incut = medians.floor_facing - 0.5 * kPi;
  site.lip_radius_m = medians.radius_m;
  site.mouth_m = medians.mouth_m;
  site.surface = surface;
  const Mat3 R_turn = Eigen::AngleAxisd(turn, Vec3::UnitZ()).toRotationMatrix();
  site.X_HS.R = find_site_axes(turn, medians.floor_facing);
  site.X_HS.p = R_turn * Vec3(0.5 * (track.start_x + track.end_x), medians.q, medians.z);
  return measured;
}

bool is_bolt_hole(const Site& site) {
  return site.mouth_m > 0.0 && site.mouth_m < kBoltHole_m && site.width_m < kBoltHole_m &&
         site.X_HS.p.head<2>().norm() < 0.5 * kBoltHole_m;
}

/// The short sides of a mouth are its walls, not its floor; up-slope a floor is a floor.
bool is_wall_of_mouth(const Site& site, double turn) { return turn != kUp && site.mouth_m > site.width_m; }

bool is_flank(const MeasuredSite& measured) { return measured.turn == kLeft || measured.turn == kRight; }

/// Opposite flanks whose lips lie no farther apart than thumb and fingers span, and that stand side by side.
bool is_pinched(const MeasuredSite& left, const MeasuredSite& right) {
  const double span_m = right.site.X_HS.p.x() - left.site.X_HS.p.x();
  const double offset_m = std::abs(left.site.X_HS.p.y() - right.site.X_HS.p.y());
  return left.site.mouth_m == 0.0 && right.site.mouth_m == 0.0 && span_m > 0.0 && span_m <= kThumbSpan_m + 1e-4 &&
         offset_m < 0.5 * std::max(left.site.width_m, right.site.width_m);
}

void find_thumb_faces(std::vector<MeasuredSite>& sites) {
  for (MeasuredSite& left : sites) {
    for (MeasuredSite& right : sites) {
      if (left.turn != kLeft || right.turn != kRight || !is_pinched(left, right)) continue;
      left.site.has_thumb_face = true;
      right.site.has_thumb_face = true;
    }
  }
}

Family guess_family(const MeasuredSite& measured) {
  const Site& site = measured.site;
  if (site.depth_m < kFingerDepth_m || find_finger_room(site) == 0) return Family::kFootChip;
  if (site.mouth_m > 0.0) return Family::kPocket;
  if (is_flank(measured) && site.has_thumb_face) return Family::kPinch;
  if (site.depth_m >= kJugDepth_m && site.incut >= kJugIncut) return Family::kJug;
  if (site.incut <= kSloping || site.lip_radius_m >= kWellRounded_m) return Family::kSloper;
  return Family::kEdge;
}

Site::Use find_use(const MeasuredSite& measured) {
  if (measured.family == Family::kFootChip) return Site::Use::kFoot;
  if (measured.family != Family::kPocket) return Site::Use::kBoth;
  const bool takes_toe = measured.site.width_m >= kToeWidth_m && measured.site.mouth_m >= kToeHeight_m;
  return takes_toe ? Site::Use::kBoth : Site::Use::kHand;
}

std::string find_base_name(const MeasuredSite& measured) {
  if (measured.turn == kLeft) return "left flank";
  if (measured.turn == kRight) return "right flank";
  if (measured.turn != kUp) return "underside";
  if (measured.site.mouth_m > 0.0) return "mouth";
  return measured.family == Family::kSloper ? "top" : "lip";
}

void name_sites(std::vector<MeasuredSite>& sites) {
  std::map<std::string, int> counts;
  for (MeasuredSite& measured : sites) {
    const std::string base = find_base_name(measured);
    const int number = ++counts[base];
    measured.site.name = number == 1 ? base : fmt::format("{} {}", base, number);
  }
}

}  // namespace

std::vector<MeasuredSite> measure_sites(const Mesh& mesh, const MeasureOptions& options) {
  std::vector<MeasuredSite> sites;
  if (mesh.triangles.empty()) return sites;
  for (const double turn : kTurns) {
    const MeshCutter cutter(mesh, turn);
    std::vector<MeasuredSite> found;
    for (const LipTrack& track : find_tracks(cutter, options.cuts)) {
      MeasuredSite measured = describe(track, cutter, turn, options.surface);
      const bool is_site = measured.site.width_m >= kLeastWidth_m && !is_bolt_hole(measured.site) &&
                           !is_wall_of_mouth(measured.site, turn);
      if (is_site) found.push_back(std::move(measured));
    }
    std::stable_sort(found.begin(), found.end(), [](const MeasuredSite& a, const MeasuredSite& b) {
      return a.site.X_HS.p.z() > b.site.X_HS.p.z() + 1e-6;
    });
    std::move(found.begin(), found.end(), std::back_inserter(sites));
  }
  find_thumb_faces(sites);
  for (MeasuredSite& measured : sites) {
    measured.family = guess_family(measured);
    measured.site.use = find_use(measured);
    fill_grips(measured.family, measured.site);
  }
  name_sites(sites);
  return sites;
}

}  // namespace steepwright::hold
