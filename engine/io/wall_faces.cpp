#include "engine/io/wall_faces.h"

#include "engine/core/units.h"
#include "engine/io/study_marks.h"

#include <fmt/format.h>

#include <algorithm>

namespace steepwright::io {

namespace {

constexpr double kGap_px = 26.0;    ///< between strips
constexpr double kBelow_px = 22.0;  ///< for the scale below the lowest ones

}  // namespace

WallFaces::WallFaces(const wall::Wall& wall, const Vec2& corner)
    : wall_(wall), corners_(wall.strips.size(), Vec2::Zero()) {
  double most_height = 0.0;
  for (const wall::Section& section : wall.sections) {
    double height = 0.0;
    for (const int s : section.strips)
      height += kPerMetre * wall.strips[static_cast<std::size_t>(s)].length_m + kGap_px;
    most_height = std::max(most_height, height);
  }
  double x = corner.x();
  for (const wall::Section& section : wall.sections) {
    double y = corner.y() + most_height;
    for (const int s : section.strips) {
      corners_[static_cast<std::size_t>(s)] = Vec2(x, y);
      y -= kPerMetre * wall.strips[static_cast<std::size_t>(s)].length_m + kGap_px;
    }
    x += kPerMetre * section.width_m + kGap_px;
  }
  end_ = Vec2(x, corner.y() + most_height + kBelow_px);
}

Vec2 WallFaces::at(int strip, double across_m, double up_m) const {
  return corners_[static_cast<std::size_t>(strip)] + kPerMetre * Vec2(across_m, -up_m);
}

void WallFaces::draw(Canvas& canvas) const {
  for (int s = 0; s < static_cast<int>(wall_.strips.size()); ++s) draw_face(canvas, s);
}

void WallFaces::draw_tnuts(Canvas& canvas, int strip) const {
  for (const Eigen::Vector2d& nut : wall::make_lattice_points(wall_.strips[static_cast<std::size_t>(strip)]))
    canvas.circle(at(strip, nut.x(), nut.y()), 1.4, {.fill = "#8894a0"});
}

void WallFaces::draw_face(Canvas& canvas, int strip) const {
  const wall::Strip& face = wall_.strips[static_cast<std::size_t>(strip)];
  canvas.rectangle(at(strip, 0.0, face.length_m), kPerMetre * Vec2(face.width_m, face.length_m), 0.0,
                   {.stroke = "#9aa5b1", .width_px = 1.0, .fill = kFaceColour});
  const std::string name = fmt::format("{}, {:.0f}\u00b0", face.name, deg_from_rad(face.angle));
  canvas.text(at(strip, 0.0, face.length_m) + Vec2(0.0, -5.0), name, {.size_px = 12.0, .fill = kFaint});
  draw_scale(canvas, strip);
}

void WallFaces::draw_scale(Canvas& canvas, int strip) const {
  const wall::Strip& face = wall_.strips[static_cast<std::size_t>(strip)];
  for (double up_m = 0.0; up_m <= face.length_m + 1e-9; up_m += 0.5) {
    const Vec2 place = at(strip, 0.0, up_m);
    canvas.line(place, place + Vec2(-4.0, 0.0), {.stroke = kFaint, .width_px = 1.0});
    canvas.text(place + Vec2(-7.0, 4.0), fmt::format("{:.0f}", mm_from_m(up_m)),
                {.size_px = 10.0, .fill = kFaint, .anchor = "end"});
  }
  const bool is_lowest = face.X_WP.p.z() < 1e-6;
  for (double across_m = 0.0; is_lowest && across_m <= face.width_m + 1e-9; across_m += 0.5) {
    const Vec2 place = at(strip, across_m, 0.0);
    canvas.line(place, place + Vec2(0.0, 4.0), {.stroke = kFaint, .width_px = 1.0});
    canvas.text(place + Vec2(0.0, 16.0), fmt::format("{:.0f}", mm_from_m(across_m)),
                {.size_px = 10.0, .fill = kFaint, .anchor = "middle"});
  }
}

}  // namespace steepwright::io
