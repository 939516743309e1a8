#include "engine/figure/scene_figure.h"

#include "engine/core/units.h"
#include "engine/hold/profile.h"

#include <array>
#include <cmath>
#include <cstdlib>

namespace steepwright::figure {

namespace {

constexpr double kNutRadius = 0.006;       // M10 T-nut barrel, from memory
constexpr double kSmallestHold_m = 0.012;  // so that a hold without stated size can still be seen

void add_strip(const wall::Strip& strip, Figure& figure) {
  const auto at = [&strip](double across_m, double up_m) { return strip.X_WP * Vec3(across_m, up_m, 0.0); };
  figure.faces.push_back(
      {Role::kStrip,
       {at(0.0, 0.0), at(strip.width_m, 0.0), at(strip.width_m, strip.length_m), at(0.0, strip.length_m)},
       describe_strip(strip)});
  if (!strip.lattice) return;
  for (const Eigen::Vector2d& nut : wall::make_lattice_points(strip))
    figure.balls.push_back({Role::kLatticePoint, kNoFrame, at(nut.x(), nut.y()), kNutRadius, {}});
}

void add_profile(const wall::Wall& wall, const wall::Section& section, double across_m, Figure& figure) {
  Line profile{Role::kProfile, kNoFrame, {}, {}};
  for (const int index : section.strips) {
    const wall::Strip& strip = wall.strips[static_cast<std::size_t>(index)];
    if (profile.points_W.empty()) profile.points_W.push_back(strip.X_WP * Vec3(across_m, 0.0, 0.0));
    profile.points_W.push_back(strip.X_WP * Vec3(across_m, strip.length_m, 0.0));
  }
  figure.lines.push_back(std::move(profile));
}

void add_hold(const move::PlacedHold& hold, Figure& figure) {
  const double half_width = 0.5 * std::max(hold::find_body_width(hold.hold.shape), kSmallestHold_m);
  const double half_height = 0.5 * std::max(hold.hold.shape.height_m, kSmallestHold_m);
  const double out = std::max(hold.hold.shape.protrusion_m, kSmallestHold_m);
  std::array<Vec3, 8> corners;
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const double x = (i & 1U) != 0U ? half_width : -half_width;
    const double y = (i & 2U) != 0U ? half_height : -half_height;
    const double z = (i & 4U) != 0U ? out : 0.0;
    corners[i] = hold.X_WH * Vec3(x, y, z);
  }
  constexpr std::array<std::array<std::size_t, 4>, 5> kFaces = {
      {{4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}}};
  for (std::size_t i = 0; i < kFaces.size(); ++i) {
    const auto& f = kFaces[i];
    figure.faces.push_back(
        {Role::kHold, {corners[f[0]], corners[f[1]], corners[f[2]], corners[f[3]]}, i == 0 ? hold.name : ""});
  }
}

void add_room(const wall::Room& room, Figure& figure) {
  const auto corner = [&room](int i) {
    return Vec3((i & 1) != 0 ? room.upper.x() : room.lower.x(), (i & 2) != 0 ? room.upper.y() : room.lower.y(),
                (i & 4) != 0 ? room.upper.z() : room.lower.z());
  };
  for (int i = 0; i < 8; ++i) {
    for (const int bit : {1, 2, 4}) {
      if ((i & bit) == 0) figure.lines.push_back({Role::kRoom, kNoFrame, {corner(i), corner(i | bit)}, {}});
    }
  }
}

void add_floor(const wall::Wall& wall, Figure& figure) {
  double x_end = 0.0;
  for (const wall::Section& section : wall.sections) x_end = std::max(x_end, section.x0_m + section.width_m);
  double front = -0.5;
  for (const wall::Strip& strip : wall.strips)
    front = std::min(front, (strip.X_WP * Vec3(0.0, strip.length_m, 0.0)).y() - 0.3);
  figure.lines.push_back({Role::kFloor, kNoFrame, {Vec3(0.0, 0.0, 0.0), Vec3(x_end, 0.0, 0.0)}, {}});
  figure.lines.push_back({Role::kFloor, kNoFrame, {Vec3(0.0, 0.0, 0.0), Vec3(0.0, front, 0.0)}, {}});
}

}  // namespace

std::string describe_strip(const wall::Strip& strip) {
  const long tenths = std::lround(deg_from_rad(strip.angle) * 10.0);
  std::string text = strip.name;
  text += ", ";
  if (tenths < 0) text += '-';
  text += std::to_string(std::abs(tenths) / 10);
  if (tenths % 10 != 0) {
    text += '.';
    text += std::to_string(std::abs(tenths) % 10);
  }
  text += "\u00B0";
  return text;
}

Figure make_scene_figure(const move::Scene& scene) {
  Figure figure;
  for (const wall::Strip& strip : scene.wall.strips) add_strip(strip, figure);
  for (const wall::Section& section : scene.wall.sections) {
    add_profile(scene.wall, section, 0.0, figure);
    add_profile(scene.wall, section, section.width_m, figure);
  }
  for (const move::PlacedHold& hold : scene.holds) add_hold(hold, figure);
  if (scene.wall.room) add_room(*scene.wall.room, figure);
  add_floor(scene.wall, figure);
  return figure;
}

}  // namespace steepwright::figure
