#include "engine/hold/profile.h"

#include "engine/core/units.h"

#include <algorithm>
#include <cmath>

namespace steepwright::hold {

namespace {

/// Chords turn by this much at most, so that small roundings keep their curvature.
constexpr double kLargestTurn = rad_from_deg(12.0);
/// A straight rest of the floor shorter than this is left out: it would only make slivers of triangles.
constexpr double kShortestFloor_m = 2e-5;

double find_back_z(const Shape& shape) {
  return has_back_face(shape) ? shape.protrusion_m - shape.depth_m * std::cos(shape.incut) : 0.0;
}

int count_chords(double angle, double radius_m, double chord_m) {
  const double turn = 2.0 * std::acos(std::max(0.0, 1.0 - chord_m / radius_m));
  return std::max(2, static_cast<int>(std::ceil(angle / std::min(turn, kLargestTurn))));
}

/// From the unrounded lip to where rounding and floor meet, m.
double find_tangent_length(double lip_radius_m, double incut) {
  // Front face and floor meet at 90 deg less incut; the normal turns by 90 deg plus incut.
  return lip_radius_m * std::tan(0.25 * kPi + 0.5 * incut);
}

}  // namespace

bool is_round(const Shape& shape) {
  return shape.family == Family::kSloper && std::abs(shape.width_m - shape.height_m) < 0.1 * shape.width_m;
}

double find_body_width(const Shape& shape) {
  return shape.family == Family::kPocket ? shape.width_m + 2.0 * kPocketWall_m : shape.width_m;
}

bool has_back_face(const Shape& shape) {
  return shape.protrusion_m - shape.depth_m * std::cos(shape.incut) > kPanelReach_m;
}

double find_lip_drop(const Shape& shape) {
  if (shape.family == Family::kPocket) return 0.0;
  const double floor_rise_m = -shape.depth_m * std::sin(shape.incut);
  if (!has_back_face(shape)) return std::max(0.0, floor_rise_m);
  const double face_rise_m = shape.family == Family::kFootChip ? kToeRise_m : kFingerRise_m;
  return std::max(0.0, floor_rise_m + face_rise_m);
}

double find_pocket_lip(const Shape& shape) { return 0.25 * shape.height_m - 0.5 * shape.mouth_m; }

double find_rounding_length(const Shape& shape) {
  return shape.lip_radius_m < kSharpRadius_m ? 0.0 : find_tangent_length(shape.lip_radius_m, shape.incut);
}

bool has_straight_floor(const Site& site) {
  return find_tangent_length(site.lip_radius_m, site.incut) < site.depth_m - kShortestFloor_m;
}

std::vector<SectionPoint> make_floor_section(const Shape& shape, double lip_q_m, double chord_m) {
  const double c = std::cos(shape.incut);
  const double back_z_m = find_back_z(shape);
  const double floor_m = (shape.protrusion_m - back_z_m) / c;
  const SectionPoint floor_end = {lip_q_m - floor_m * std::sin(shape.incut), back_z_m};
  const double rounding_m = find_rounding_length(shape);
  if (rounding_m == 0.0) return {{lip_q_m, shape.protrusion_m}, floor_end};

  const double radius_m = shape.lip_radius_m;
  const SectionPoint centre = {lip_q_m - rounding_m, shape.protrusion_m - radius_m};
  const bool ends_at_back = rounding_m > floor_m - kShortestFloor_m;
  const double angle =
      ends_at_back ? std::acos(std::clamp((back_z_m - centre.z) / radius_m, -1.0, 1.0)) : 0.5 * kPi + shape.incut;
  const int chords = count_chords(angle, radius_m, chord_m);
  std::vector<SectionPoint> points;
  for (int i = 0; i <= chords; ++i) {
    const double turn = angle * i / chords;
    points.push_back({centre.q + radius_m * std::sin(turn), centre.z + radius_m * std::cos(turn)});
  }
  if (ends_at_back) {
    points.back().z = back_z_m;
  } else {
    points.push_back(floor_end);
  }
  return points;
}

std::vector<SectionPoint> make_side_section(const Shape& shape, double extent_m, double chord_m) {
  std::vector<SectionPoint> points = make_floor_section(shape, extent_m - find_lip_drop(shape), chord_m);
  if (has_back_face(shape)) {
    points.push_back({extent_m, points.back().z});
    points.push_back({extent_m, 0.0});
  }
  return points;
}

}  // namespace steepwright::hold
