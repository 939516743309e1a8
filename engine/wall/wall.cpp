#include "engine/wall/wall.h"

#include "engine/core/units.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

namespace steepwright::wall {

namespace {

/// Far enough below the floor and behind the wall that these ends are never what is nearest.
constexpr double kBelowFloor_m = 100.0;
constexpr double kBehindWall_m = 1000.0;

/// Strips from this angle up are called roofs.
constexpr double kRoofAngle = rad_from_deg(75.0);
/// Lowest strips up to this length are called kickers (150-400 mm, sometimes 600 mm: common practice).
constexpr double kKickerLength_m = 0.6;

Mat3 strip_axes(double angle) {
  const double c = std::cos(angle);
  const double s = std::sin(angle);
  Mat3 R_WP;
  R_WP.col(0) = Vec3(1.0, 0.0, 0.0);
  R_WP.col(1) = Vec3(0.0, -s, c);
  R_WP.col(2) = Vec3(0.0, -c, -s);
  return R_WP;
}

ProfileEdge make_edge(double y0_m, double z0_m, double y1_m, double z1_m, int strip) {
  ProfileEdge edge{y0_m, z0_m, y1_m, z1_m, 0.0, 1.0, std::hypot(y1_m - y0_m, z1_m - z0_m), strip};
  if (edge.length_m > 0.0) {
    edge.dy = (y1_m - y0_m) / edge.length_m;
    edge.dz = (z1_m - z0_m) / edge.length_m;
  }
  return edge;
}

/// The outline described at find_nearest.
std::vector<ProfileEdge> make_profile(const std::vector<Strip>& strips, const std::vector<int>& stack) {
  std::vector<ProfileEdge> profile;
  if (stack.empty()) return profile;
  double y_m = 0.0;
  double z_m = 0.0;
  const auto go_to = [&](double to_y_m, double to_z_m, int strip) {
    profile.push_back(make_edge(y_m, z_m, to_y_m, to_z_m, strip));
    y_m = to_y_m;
    z_m = to_z_m;
  };
  z_m = -kBelowFloor_m;
  go_to(0.0, 0.0, stack.front());
  for (int index : stack) {
    const Strip& strip = strips[static_cast<std::size_t>(index)];
    const Vec3 top = strip.X_WP * Vec3(0.0, strip.length_m, 0.0);
    go_to(top.y(), top.z(), index);
  }
  // Over the upper edge. A slab's would slope down into the wall and could cut the strips below it: it is level.
  const Strip& last = strips[static_cast<std::size_t>(stack.back())];
  if (last.angle > 0.0) {
    const double depth_m = last.thickness_m + kFrameDepth_m;
    go_to(y_m + depth_m * std::cos(last.angle), z_m + depth_m * std::sin(last.angle), stack.back());
  }
  go_to(y_m + kBehindWall_m, z_m, stack.back());
  return profile;
}

std::string angle_text(double angle) {
  const double angle_deg = deg_from_rad(angle);
  // One decimal only where there is one; never "-0".
  const double rounded = std::round(angle_deg * 10.0) / 10.0 + 0.0;
  return fmt::format("{}°", rounded);
}

}  // namespace

int Wall::find_strip(const std::string& strip_name) const {
  for (std::size_t i = 0; i < strips.size(); ++i) {
    if (strips[i].name == strip_name) return static_cast<int>(i);
  }
  return -1;
}

Wall make_wall(std::string name, std::vector<std::vector<Strip>> sections, std::optional<Room> room) {
  Wall wall;
  wall.name = std::move(name);
  wall.room = std::move(room);
  double x_m = 0.0;
  for (std::vector<Strip>& stack : sections) {
    Section section;
    section.x0_m = x_m;
    section.width_m = stack.empty() ? 0.0 : stack.front().width_m;
    Vec3 corner_W(x_m, 0.0, 0.0);
    for (Strip& strip : stack) {
      strip.section = static_cast<int>(wall.sections.size());
      strip.X_WP = {strip_axes(strip.angle), corner_W};
      corner_W = strip.X_WP * Vec3(0.0, strip.length_m, 0.0);
      section.strips.push_back(static_cast<int>(wall.strips.size()));
      wall.strips.push_back(std::move(strip));
    }
    section.profile = make_profile(wall.strips, section.strips);
    x_m += section.width_m;
    wall.sections.push_back(std::move(section));
  }
  return wall;
}

Pose find_pose_on_strip(const Strip& strip, double across_m, double up_m, double rotation) {
  const Pose X_PH{Eigen::AngleAxisd(rotation, Vec3::UnitZ()).toRotationMatrix(), Vec3(across_m, up_m, 0.0)};
  return strip.X_WP * X_PH;
}

double find_overrun(const Strip& strip, double across_m, double up_m, double rotation, double width_m,
                    double height_m) {
  // Half extents of the turned rectangle along the strip's axes.
  const double c = std::abs(std::cos(rotation));
  const double s = std::abs(std::sin(rotation));
  const double half_across_m = 0.5 * (c * width_m + s * height_m);
  const double half_up_m = 0.5 * (s * width_m + c * height_m);
  return std::max({half_across_m - across_m, across_m + half_across_m - strip.width_m, half_up_m - up_m,
                   up_m + half_up_m - strip.length_m});
}

std::string describe_strip(const Wall& wall, int strip_index) {
  if (strip_index < 0 || static_cast<std::size_t>(strip_index) >= wall.strips.size()) return "wall";
  const Strip& strip = wall.strips[static_cast<std::size_t>(strip_index)];
  const bool is_lowest = wall.sections[static_cast<std::size_t>(strip.section)].strips.front() == strip_index;
  if (is_lowest && strip.length_m <= kKickerLength_m) {
    return strip.name == "kicker" ? "kicker" : fmt::format("kicker '{}'", strip.name);
  }
  const char* kind = strip.angle >= kRoofAngle ? "roof" : strip.angle < 0.0 ? "slab" : "panel";
  return fmt::format("{} '{}' ({})", kind, strip.name, angle_text(strip.angle));
}

std::string describe(const Wall& wall, const Nearest& nearest) {
  switch (nearest.kind) {
    case Nearest::Kind::kFloor:
      return "floor";
    case Nearest::Kind::kRoom:
      // The gradient points away from the face, into the room.
      if (nearest.gradient.z() < -0.5) return "ceiling";
      if (nearest.gradient.x() > 0.5) return "left room wall";
      if (nearest.gradient.x() < -0.5) return "right room wall";
      return nearest.gradient.y() > 0.5 ? "room wall behind the climber" : "room wall behind the panels";
    case Nearest::Kind::kSide:
      return (nearest.gradient.x() < 0.0 ? "left side of " : "right side of ") + describe_strip(wall, nearest.strip);
    case Nearest::Kind::kStrip:
      break;
  }
  return describe_strip(wall, nearest.strip);
}

}  // namespace steepwright::wall
