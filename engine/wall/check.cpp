/// What is wrong or doubtful about a wall before it is built.

#include "engine/core/units.h"
#include "engine/wall/wall.h"

#include <fmt/format.h>

#include <cmath>
#include <cstddef>
#include <set>
#include <string_view>
#include <utility>

namespace steepwright::wall {

namespace {

/// Overhangs up to a level roof, slabs down to -20 deg: beyond these the climber's side of a strip is no longer in
/// front of it.
constexpr double kLeastAngle_deg = -20.0;
constexpr double kGreatestAngle_deg = 90.0;
constexpr double kLeastSize_m = 0.05;
constexpr double kGreatestSize_m = 12.0;
/// Highest graspable point above the mat (EN 12572-2, from a secondary source).
constexpr double kGreatestHeight_m = 4.5;
constexpr double kLength_m = 1e-6;  ///< lengths closer than this are equal

class Checker {
 public:
  void add(Severity severity, const std::string& strip, std::string_view field, std::string message,
           std::string remedy = "") {
    Finding finding;
    finding.severity = severity;
    finding.key = field.empty() ? strip : strip.empty() ? std::string(field) : fmt::format("{}.{}", strip, field);
    finding.message = std::move(message);
    finding.remedy = std::move(remedy);
    findings.push_back(std::move(finding));
  }

  /// An error unless lower <= value <= upper, all in the unit that the message names. NaN is out of range.
  void demand_range(const std::string& strip, std::string_view field, double value, double lower, double upper,
                    std::string_view unit) {
    if (value >= lower && value <= upper) return;
    add(Severity::kError, strip, field,
        fmt::format("{:.6g} {} is out of range; allowed is {:.6g} to {:.6g} {}", value, unit, lower, upper, unit));
  }
  void demand_mm(const std::string& strip, std::string_view field, double value_m, double lower_m, double upper_m) {
    demand_range(strip, field, mm_from_m(value_m), mm_from_m(lower_m), mm_from_m(upper_m), "mm");
  }

  Findings findings;
};

void check_lattice(const Strip& strip, Checker& checker) {
  const Lattice& lattice = *strip.lattice;
  const std::size_t before = checker.findings.size();
  checker.demand_mm(strip.name, "lattice.pitch_across_mm", lattice.pitch_across_m, 0.05, 2.0);
  checker.demand_mm(strip.name, "lattice.pitch_up_mm", lattice.pitch_up_m, 0.05, 2.0);
  checker.demand_mm(strip.name, "lattice.first_across_mm", lattice.first_across_m, 0.0, strip.width_m);
  checker.demand_mm(strip.name, "lattice.first_up_mm", lattice.first_up_m, 0.0, strip.length_m);
  if (checker.findings.size() != before) return;
  checker.demand_mm(strip.name, "lattice.stagger_mm", lattice.stagger_m, -lattice.pitch_across_m,
                    lattice.pitch_across_m);
}

void check_joists(const Strip& strip, Checker& checker) {
  const Joists& joists = *strip.joists;
  const std::size_t before = checker.findings.size();
  checker.demand_mm(strip.name, "joists.spacing_mm", joists.spacing_m, 0.1, 2.0);
  checker.demand_mm(strip.name, "joists.first_mm", joists.first_m, 0.0, strip.width_m);
  checker.demand_mm(strip.name, "joists.width_mm", joists.width_m, 0.01, 0.3);
  if (checker.findings.size() != before || !strip.lattice) return;

  std::set<long> clashing_tenths_mm;
  for (const Eigen::Vector2d& point : make_lattice_points(strip)) {
    if (is_on_joist(strip, point.x())) clashing_tenths_mm.insert(std::lround(mm_from_m(point.x()) * 10.0));
  }
  if (clashing_tenths_mm.empty()) return;
  std::string columns;
  for (long tenths : clashing_tenths_mm) {
    columns += fmt::format("{}{:.6g}", columns.empty() ? "" : ", ", static_cast<double>(tenths) / 10.0);
  }
  checker.add(Severity::kWarning, strip.name, "lattice",
              fmt::format("T-nut {} at {} mm across {} on a joist ({:.6g} mm wide, every {:.6g} mm from {:.6g} mm)",
                          clashing_tenths_mm.size() == 1 ? "column" : "columns", columns,
                          clashing_tenths_mm.size() == 1 ? "falls" : "fall", mm_from_m(joists.width_m),
                          mm_from_m(joists.spacing_m), mm_from_m(joists.first_m)),
              "move the lattice or the joists, or leave these columns out");
}

void check_strip(const Wall& wall, const Strip& strip, Checker& checker) {
  checker.demand_range(strip.name, "angle_deg", deg_from_rad(strip.angle), kLeastAngle_deg, kGreatestAngle_deg, "deg");
  const std::size_t before = checker.findings.size();
  checker.demand_mm(strip.name, "width_mm", strip.width_m, kLeastSize_m, kGreatestSize_m);
  checker.demand_mm(strip.name, "length_mm", strip.length_m, kLeastSize_m, kGreatestSize_m);
  checker.demand_mm(strip.name, "thickness_mm", strip.thickness_m, 0.006, 0.06);
  if (checker.findings.size() != before) return;
  const Section& section = wall.sections[static_cast<std::size_t>(strip.section)];
  if (std::abs(strip.width_m - section.width_m) > kLength_m) {
    checker.add(Severity::kError, strip.name, "width_mm",
                fmt::format("{:.6g} mm differs from the {:.6g} mm of the strip below", mm_from_m(strip.width_m),
                            mm_from_m(section.width_m)),
                "give all strips of a stack the same width, or make two sections");
  }
  if (strip.lattice) check_lattice(strip, checker);
  if (strip.joists) check_joists(strip, checker);
}

Vec3 top_corner(const Strip& strip, double across_m) { return strip.X_WP * Vec3(across_m, strip.length_m, 0.0); }

void check_heights(const Wall& wall, Checker& checker) {
  for (const Section& section : wall.sections) {
    if (section.strips.empty()) continue;
    const Strip& last = wall.strips[static_cast<std::size_t>(section.strips.back())];
    const double height_m = top_corner(last, 0.0).z();
    if (height_m > kGreatestHeight_m + kLength_m) {
      checker.add(
          Severity::kWarning, last.name, "length_mm",
          fmt::format("the upper edge is {:.0f} mm above the floor; bouldering walls end at {:.0f} mm above the "
                      "mat (EN 12572-2, from a secondary source)",
                      mm_from_m(height_m), mm_from_m(kGreatestHeight_m)));
    }
  }
}

void check_room(const Wall& wall, Checker& checker) {
  const Room& room = *wall.room;
  for (int axis = 0; axis < 3; ++axis) {
    if (room.upper(axis) - room.lower(axis) >= 0.5) continue;
    checker.add(Severity::kError, "", "room",
                fmt::format("the room is {:.6g} mm along {}; at least 500 mm is needed",
                            mm_from_m(room.upper(axis) - room.lower(axis)), "xyz"[axis]));
    return;
  }
  static constexpr const char* kFaces[3][2] = {{"left room wall", "right room wall"},
                                               {"room wall behind the climber", "room wall behind the panels"},
                                               {"floor of the room", "ceiling"}};
  for (const Strip& strip : wall.strips) {
    for (int axis = 0; axis < 3; ++axis) {
      // The strip's four corners; how far the worst stands beyond either face.
      double below_m = 0.0;
      double above_m = 0.0;
      for (double across_m : {0.0, strip.width_m}) {
        for (double up_m : {0.0, strip.length_m}) {
          const double value_m = (strip.X_WP * Vec3(across_m, up_m, 0.0))(axis);
          below_m = std::fmax(below_m, room.lower(axis) - value_m);
          above_m = std::fmax(above_m, value_m - room.upper(axis));
        }
      }
      for (int side = 0; side < 2; ++side) {
        const double beyond_m = side == 0 ? below_m : above_m;
        if (beyond_m <= kLength_m) continue;
        checker.add(Severity::kError, "", "room",
                    fmt::format("{} stands {:.0f} mm beyond the {}", describe_strip(wall, wall.find_strip(strip.name)),
                                mm_from_m(beyond_m), kFaces[axis][side]),
                    "make the room larger or the wall smaller");
      }
    }
  }
}

}  // namespace

Findings check_wall(const Wall& wall) {
  Checker checker;
  if (wall.strips.empty()) {
    checker.add(Severity::kError, "", "wall", "no strips", "give at least one panel");
    return std::move(checker.findings);
  }
  for (std::size_t i = 0; i < wall.sections.size(); ++i) {
    if (wall.sections[i].strips.empty()) {
      checker.add(Severity::kError, "", "wall", fmt::format("section {} has no strips", i + 1),
                  "give it a panel or leave it out");
    }
  }
  std::set<std::string_view> names;
  for (const Strip& strip : wall.strips) {
    if (!names.insert(strip.name).second) {
      checker.add(Severity::kError, strip.name, "name", fmt::format("'{}' names two strips", strip.name),
                  "give every strip its own name");
    }
    check_strip(wall, strip, checker);
  }
  // Places follow from sizes and angles: no use to look at them while those are wrong.
  if (has_errors(checker.findings)) return std::move(checker.findings);
  check_heights(wall, checker);
  if (wall.room) check_room(wall, checker);
  return std::move(checker.findings);
}

}  // namespace steepwright::wall
