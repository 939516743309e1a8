#include "viewer/commands/placement.h"

#include "engine/hold/profile.h"
#include "engine/io/file_units.h"
#include "engine/io/scene_checks.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <vector>

namespace steepwright::viewer {

namespace {

using Vec2 = Eigen::Vector2d;

constexpr double kGrid_m = 0.025;         // places tried where there are no T-nuts
constexpr std::size_t kLongestName = 70;  // files allow 80 characters: room for a number

const wall::Strip& strip_of(const wall::Wall& wall, int strip) { return wall.strips[static_cast<std::size_t>(strip)]; }

// Within [0, upper] and on whole millimetres, as a file would state it.
double to_whole_mm(double value_m, double upper_m) {
  const double upper_mm = std::floor(mm_from_m(upper_m) + 1e-9);
  return io::length_from_mm(std::clamp(std::round(mm_from_m(value_m)), 0.0, upper_mm));
}

double find_distance(const BoltPlace& a, const BoltPlace& b) {
  return std::hypot(a.across_m - b.across_m, a.up_m - b.up_m);
}

// T-nuts, or a grid where there are none.
std::vector<BoltPlace> list_places(const wall::Wall& wall, const BoltPlace& wanted) {
  const wall::Strip& strip = strip_of(wall, wanted.strip);
  std::vector<BoltPlace> places;
  if (wanted.on_lattice && strip.lattice) {
    for (const Vec2& point : wall::make_lattice_points(strip)) {
      if (!wall::is_on_joist(strip, point.x())) places.push_back({wanted.strip, point.x(), point.y(), true});
    }
  } else {
    for (double up_m = 0.0; up_m <= strip.length_m; up_m += kGrid_m) {
      for (double across_m = 0.0; across_m <= strip.width_m; across_m += kGrid_m) {
        places.push_back(
            {wanted.strip, to_whole_mm(across_m, strip.width_m), to_whole_mm(up_m, strip.length_m), false});
      }
    }
  }
  return places;
}

bool is_free(const move::Scene& scene, const move::PlacedHold& hold, int except) {
  const wall::Strip& strip = strip_of(scene.wall, hold.strip);
  const hold::Shape& shape = hold.hold.shape;
  if (wall::find_overrun(strip, hold.across_m, hold.up_m, hold.rotation, hold::find_body_width(shape), shape.height_m) >
      0.0)
    return false;
  for (std::size_t i = 0; i < scene.holds.size(); ++i) {
    if (static_cast<int>(i) == except || scene.holds[i].strip != hold.strip) continue;
    if (io::find_overlap(scene.holds[i], hold) > 0.0) return false;
  }
  return true;
}

template <typename Items>
std::string find_free_name(const Items& items, std::string_view wanted) {
  const auto is_taken = [&items](const std::string& name) {
    return std::any_of(items.begin(), items.end(), [&name](const auto& item) { return item.name == name; });
  };
  std::string base(wanted);
  if (base.size() > kLongestName) {
    base.resize(kLongestName);
    // Never half a character.
    while (!base.empty() && (static_cast<unsigned char>(base.back()) & 0x80U) != 0) base.pop_back();
  }
  if (!is_taken(base)) return base;
  for (int number = 2;; ++number) {
    std::string name = fmt::format("{} {}", base, number);
    if (!is_taken(name)) return name;
  }
}

}  // namespace

BoltPlace find_snapped_place(const wall::Wall& wall, int strip, double across_m, double up_m, bool is_free) {
  const wall::Strip& panel = strip_of(wall, strip);
  if (!is_free && panel.lattice) {
    const BoltPlace wanted{strip, across_m, up_m, true};
    const auto places = list_places(wall, wanted);
    const auto nearest = std::min_element(places.begin(), places.end(), [&](const BoltPlace& a, const BoltPlace& b) {
      return find_distance(a, wanted) < find_distance(b, wanted);
    });
    if (nearest != places.end()) return *nearest;
  }
  return {strip, to_whole_mm(across_m, panel.width_m), to_whole_mm(up_m, panel.length_m), false};
}

std::optional<BoltPlace> find_free_place(const move::Scene& scene, const move::PlacedHold& hold,
                                         const BoltPlace& wanted, int except) {
  move::PlacedHold tried = hold;
  std::vector<BoltPlace> places = list_places(scene.wall, wanted);
  std::stable_sort(places.begin(), places.end(), [&](const BoltPlace& a, const BoltPlace& b) {
    return find_distance(a, wanted) < find_distance(b, wanted);
  });
  for (const BoltPlace& place : places) {
    tried.strip = place.strip;
    tried.across_m = place.across_m;
    tried.up_m = place.up_m;
    if (is_free(scene, tried, except)) return place;
  }
  return std::nullopt;
}

std::string find_free_hold_name(const move::Scene& scene, std::string_view wanted) {
  return find_free_name(scene.holds, wanted);
}

std::string find_free_move_name(const move::Scene& scene, std::string_view wanted) {
  return find_free_name(scene.moves, wanted);
}

}  // namespace steepwright::viewer
