/// Which dimensions each family has, their ranges, and what contradicts.

#include "engine/core/units.h"
#include "engine/hold/grips.h"
#include "engine/hold/hold.h"
#include "engine/hold/profile.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>

namespace steepwright::hold {

namespace {

/// Allowed values; lower > upper: the family has no such dimension.
struct Range {
  double lower = 1.0, upper = 0.0;
  [[nodiscard]] bool is_used() const { return lower <= upper; }
};

/// mm and degrees. The ranges span what is shaped and bolted at home (own choice).
struct FamilyRanges {
  Range width, height, protrusion, depth, incut, lip_radius, mouth, fingers;
};

constexpr Range kUnused = {};
constexpr double kLength_m = 1e-6;  ///< lengths closer than this are equal

constexpr std::array<FamilyRanges, 7> kRanges = {{
    // width        height     protrusion   depth       incut       lip radius  mouth       fingers
    {{20, 1500}, {5, 300}, {3, 200}, {3, 100}, {-15, 45}, {0, 30}, kUnused, kUnused},         // edge
    {{60, 1500}, {30, 600}, {20, 300}, {30, 300}, {-70, 0}, {8, 200}, kUnused, kUnused},      // sloper
    {{20, 250}, {40, 600}, {20, 200}, {10, 150}, {-30, 30}, {0, 40}, kUnused, kUnused},       // pinch
    {{50, 800}, {25, 300}, {25, 200}, {25, 120}, {8, 60}, {1, 40}, kUnused, kUnused},         // jug
    {{36, 250}, {40, 400}, {10, 200}, {6, 100}, {-20, 45}, {0, 30}, {12, 90}, {2, 4}},        // pocket
    {{10, 250}, {5, 120}, {3, 100}, {2, 80}, {-45, 30}, {0, 30}, kUnused, kUnused},           // foot chip
    {{100, 2400}, {100, 2400}, {30, 800}, {20, 800}, {-80, 10}, {0, 100}, kUnused, kUnused},  // volume
}};

class Checker {
 public:
  explicit Checker(const Shape& shape) : shape_(shape) {}

  void add(std::string_view key, std::string message, std::string remedy = "") {
    Finding finding;
    finding.key = key;
    finding.message = std::move(message);
    finding.remedy = std::move(remedy);
    findings.push_back(std::move(finding));
  }

  /// `unset` is the value of a dimension that was not given.
  void demand(std::string_view key, double value, const Range& range, std::string_view unit, double unset = 0.0) {
    // "an edge", "a jug".
    const std::string family =
        fmt::format("{} {}", shape_.family == Family::kEdge ? "an" : "a", name_of(shape_.family));
    if (!range.is_used()) {
      if (value != unset)
        add(key, fmt::format("{:.6g} {}: {} has no such dimension", value, unit, family), "leave it out");
    } else if (!(value >= range.lower - kSlack && value <= range.upper + kSlack)) {
      add(key, fmt::format("{:.6g} {} is out of range for {}; allowed is {:.6g} to {:.6g} {}", value, unit, family,
                           range.lower, range.upper, unit));
    }
  }

  Findings findings;

 private:
  static constexpr double kSlack = 1e-9;  ///< mm, deg: rounding of the conversion to SI
  const Shape& shape_;
};

void check_ranges(const Shape& shape, Checker& checker) {
  const FamilyRanges& ranges = kRanges[static_cast<std::size_t>(shape.family)];
  checker.demand("width_mm", mm_from_m(shape.width_m), ranges.width, "mm");
  checker.demand("height_mm", mm_from_m(shape.height_m), ranges.height, "mm");
  checker.demand("protrusion_mm", mm_from_m(shape.protrusion_m), ranges.protrusion, "mm");
  checker.demand("depth_mm", mm_from_m(shape.depth_m), ranges.depth, "mm");
  checker.demand("incut_deg", deg_from_rad(shape.incut), ranges.incut, "deg");
  checker.demand("lip_radius_mm", mm_from_m(shape.lip_radius_m), ranges.lip_radius, "mm");
  checker.demand("mouth_mm", mm_from_m(shape.mouth_m), ranges.mouth, "mm");
  checker.demand("fingers", shape.fingers, ranges.fingers, "fingers", 4);
}

void check_mouth(const Shape& shape, Checker& checker) {
  const double needed_m = shape.fingers * kFingerBreadth_m;
  if (shape.width_m + 1e-4 < needed_m) {
    checker.add("width_mm", fmt::format("{:.4g} mm is too narrow for {} fingers, they need {:.4g} mm",
                                        mm_from_m(shape.width_m), shape.fingers, mm_from_m(needed_m)));
  }
  if (shape.mouth_m > 0.5 * shape.height_m + kLength_m) {
    checker.add("mouth_mm",
                fmt::format("{:.4g} mm is more than the upper half of the body ({:.4g} mm); the bolt takes the middle",
                            mm_from_m(shape.mouth_m), mm_from_m(0.5 * shape.height_m)));
    return;
  }
  // A floor that slopes out has its roof highest at the inner end.
  const double roof_m = find_pocket_lip(shape) + shape.mouth_m / std::cos(shape.incut) +
                        shape.depth_m * std::sin(std::max(0.0, -shape.incut));
  const double over_m = roof_m + kLeastWall_m - 0.5 * shape.height_m;
  if (over_m > kLength_m) {
    checker.add("height_mm",
                fmt::format("{:.4g} mm leave less than {:.4g} mm over the mouth, it lacks {:.3g} mm",
                            mm_from_m(shape.height_m), mm_from_m(kLeastWall_m), mm_from_m(over_m)),
                "make the body higher or the mouth lower");
  }
}

/// One side of a body with a floor: from the middle or the far side (`low`) to the full extent.
struct Side {
  std::string_view key;
  double low_m = 0.0, lip_m = 0.0;
};

/// The front must keep some face below the rounding, and the floor's inner end some thickness under it.
void check_side(const Shape& shape, const Side& side, Checker& checker) {
  const double front_m = side.lip_m - side.low_m - kLeastWall_m;
  const double inner_m = front_m - shape.depth_m * std::sin(std::max(0.0, shape.incut));
  const double least_m = std::min(front_m, inner_m);
  if (least_m < -kLength_m) {
    // Both sides of a pinch or volume have to grow.
    const double lacking_m = (side.low_m < 0.0 ? 1.0 : 2.0) * -least_m;
    checker.add(side.key,
                fmt::format("{} less than {:.4g} mm of the body, it lacks {:.3g} mm",
                            has_back_face(shape) ? "the floor and the face behind it leave" : "the floor leaves",
                            mm_from_m(kLeastWall_m), mm_from_m(lacking_m)),
                "make the body larger, or the floor as deep as the hold stands out");
    return;
  }
  const double rounding_m = find_rounding_length(shape);
  if (rounding_m > front_m + kLength_m) {
    checker.add("lip_radius_mm",
                fmt::format("a rounding of {:.4g} mm takes {:.4g} mm of the front, which has {:.4g} mm beside the lip; "
                            "allowed is up to {:.3g} mm",
                            mm_from_m(shape.lip_radius_m), mm_from_m(rounding_m), mm_from_m(front_m),
                            mm_from_m(std::floor(1e4 * shape.lip_radius_m * front_m / rounding_m) * 1e-4)),
                "round it less or make the body larger");
  }
}

void check_walls(const Shape& shape, Checker& checker) {
  const double half_width_m = 0.5 * shape.width_m;
  const double half_height_m = 0.5 * shape.height_m;
  const double drop_m = find_lip_drop(shape);
  if (shape.family == Family::kPinch) {
    check_side(shape, {"width_mm", 0.0, half_width_m - drop_m}, checker);
    return;
  }
  const double lip_m = shape.family == Family::kPocket ? find_pocket_lip(shape) : half_height_m - drop_m;
  check_side(shape, {"height_mm", is_round(shape) ? 0.0 : -half_height_m, lip_m}, checker);
  if (shape.family == Family::kVolume && checker.findings.empty()) {
    check_side(shape, {"width_mm", 0.0, half_width_m - drop_m}, checker);
  }
}

/// What each dimension allows alone may not fit together.
void check_fit(const Shape& shape, Checker& checker) {
  const double out_m = shape.depth_m * std::cos(shape.incut);
  const double drop_m = std::abs(shape.depth_m * std::sin(shape.incut));
  if (out_m > shape.protrusion_m + kLength_m) {
    checker.add(
        "depth_mm",
        fmt::format("a floor of {:.4g} mm at {:.3g} deg reaches {:.4g} mm back from the lip, into the panel: the "
                    "hold stands out only {:.4g} mm",
                    mm_from_m(shape.depth_m), deg_from_rad(shape.incut), mm_from_m(out_m),
                    mm_from_m(shape.protrusion_m)),
        "make the floor shallower or the protrusion larger");
  }
  const bool is_on_flank = shape.family == Family::kPinch;
  const double extent_m = is_on_flank ? 0.5 * shape.width_m : shape.height_m;
  if (drop_m > extent_m + kLength_m) {
    checker.add(
        "incut_deg",
        fmt::format("a floor of {:.4g} mm at {:.3g} deg spans {:.4g} mm, more than the body's {:.4g} mm",
                    mm_from_m(shape.depth_m), deg_from_rad(shape.incut), mm_from_m(drop_m), mm_from_m(extent_m)),
        "tilt it less or make the body larger");
  }
  if (shape.family == Family::kVolume && drop_m > 0.5 * shape.width_m + kLength_m) {
    checker.add("incut_deg",
                fmt::format("sides that slope by {:.4g} mm meet before the front is reached", mm_from_m(drop_m)),
                "slope them less or make the volume wider");
  }
  if (shape.family == Family::kPocket) check_mouth(shape, checker);
  if (checker.findings.empty()) check_walls(shape, checker);
}

}  // namespace

Findings check_shape(const Shape& shape) {
  Checker checker(shape);
  if (shape.family == Family::kImported) {
    checker.add("family", "an imported hold is not made from dimensions", "name its mesh in an inventory");
    return std::move(checker.findings);
  }
  check_ranges(shape, checker);
  if (checker.findings.empty()) check_fit(shape, checker);
  return std::move(checker.findings);
}

}  // namespace steepwright::hold
