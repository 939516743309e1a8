#include "engine/study/knob.h"

#include "engine/body/body.h"
#include "engine/core/units.h"
#include "engine/move/goals.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace steepwright::study {

namespace {

struct KindRow {
  KnobKind kind;
  std::string_view name, unit;
};
constexpr std::array<KindRow, 12> kKinds = {{{KnobKind::kAngle, "angle", "deg"},
                                             {KnobKind::kKicker, "kicker", "mm"},
                                             {KnobKind::kAcross, "across", "mm"},
                                             {KnobKind::kUp, "up", "mm"},
                                             {KnobKind::kRotation, "rotation", "deg"},
                                             {KnobKind::kDepth, "depth", "mm"},
                                             {KnobKind::kIncut, "incut", "deg"},
                                             {KnobKind::kRounding, "rounding", "mm"},
                                             {KnobKind::kStature, "stature", "mm"},
                                             {KnobKind::kSpan, "span", "mm"},
                                             {KnobKind::kStrength, "strength", "factor"},
                                             {KnobKind::kFriction, "friction", "factor"}}};

const KindRow& row_of(KnobKind kind) { return kKinds[static_cast<std::size_t>(kind)]; }

Result<Knob> find_strip_knob(const move::Scene& scene, KnobKind kind, const std::string& name) {
  const std::vector<wall::Strip>& strips = scene.wall.strips;
  if (!name.empty()) {
    const int strip = scene.wall.find_strip(name);
    if (strip < 0) return failure(fmt::format("the wall has no strip '{}'", name), "name one of the scene's strips");
    return Knob{kind, strip};
  }
  const bool wants_overhang = kind == KnobKind::kAngle;
  std::vector<int> found;
  for (int s = 0; s < static_cast<int>(strips.size()); ++s) {
    const bool is_lowest = std::any_of(scene.wall.sections.begin(), scene.wall.sections.end(),
                                       [s](const wall::Section& section) { return section.strips.front() == s; });
    const bool fits = wants_overhang ? strips[static_cast<std::size_t>(s)].angle > 0.0 || !is_lowest : is_lowest;
    if (fits) found.push_back(s);
  }
  if (found.size() == 1) return Knob{kind, found[0]};
  return failure(fmt::format("{}: the wall has {} strips that may be meant", row_of(kind).name, found.size()),
                 fmt::format("name one, as in {}@{}", row_of(kind).name, strips.front().name));
}

Result<Knob> find_hold_knob(const move::Scene& scene, KnobKind kind, const std::string& name) {
  for (std::size_t h = 0; h < scene.holds.size(); ++h) {
    if (scene.holds[h].name != name) continue;
    const bool is_of_shape = kind == KnobKind::kDepth || kind == KnobKind::kIncut || kind == KnobKind::kRounding;
    if (is_of_shape && scene.holds[h].hold.shape.family == hold::Family::kImported) {
      return failure(fmt::format("hold '{}' is a mesh: it has no dimensions to vary", name),
                     "take a hold with dimensions");
    }
    return Knob{kind, static_cast<int>(h)};
  }
  return failure(name.empty() ? fmt::format("{} of which hold?", row_of(kind).name)
                              : fmt::format("the scene has no hold '{}'", name),
                 fmt::format("write {}@NAME with the name of a placed hold", row_of(kind).name));
}

double& shape_field(hold::Shape& shape, KnobKind kind) {
  if (kind == KnobKind::kDepth) return shape.depth_m;
  return kind == KnobKind::kIncut ? shape.incut : shape.lip_radius_m;
}

std::string join_messages(const Findings& findings) {
  for (const Finding& finding : findings) {
    if (finding.severity == Severity::kError) return finding.key + ": " + finding.message;
  }
  return "";
}

void turn_shape(const Knob& knob, double value, TurnedScene& turned) {
  move::PlacedHold& placed = turned.scene.holds[static_cast<std::size_t>(knob.index)];
  hold::Shape shape = placed.hold.shape;
  shape_field(shape, knob.kind) = knob.kind == KnobKind::kIncut ? rad_from_deg(value) : m_from_mm(value);
  const Findings findings = hold::check_shape(shape);
  if (has_errors(findings)) {
    turned.fault = join_messages(findings);
    return;
  }
  placed.hold = hold::make_hold(shape);
}

void turn_hold(const Knob& knob, double value, TurnedScene& turned) {
  move::PlacedHold& placed = turned.scene.holds[static_cast<std::size_t>(knob.index)];
  if (knob.kind == KnobKind::kRotation) {
    placed.rotation = rad_from_deg(value);
    return;
  }
  if (knob.kind != KnobKind::kAcross && knob.kind != KnobKind::kUp) {
    turn_shape(knob, value, turned);
    return;
  }
  (knob.kind == KnobKind::kAcross ? placed.across_m : placed.up_m) = m_from_mm(value);
  const wall::Strip& strip = turned.scene.wall.strips[static_cast<std::size_t>(placed.strip)];
  const hold::Shape& shape = placed.hold.shape;
  const double overrun_m =
      wall::find_overrun(strip, placed.across_m, placed.up_m, placed.rotation, shape.width_m, shape.height_m);
  if (overrun_m > 1e-6) turned.fault = fmt::format("'{}' sticks out over the edge of '{}'", placed.name, strip.name);
}

void turn_wall(const Knob& knob, double value, TurnedScene& turned) {
  wall::Wall& wall = turned.scene.wall;
  wall::Strip& strip = wall.strips[static_cast<std::size_t>(knob.index)];
  (knob.kind == KnobKind::kAngle ? strip.angle : strip.length_m) =
      knob.kind == KnobKind::kAngle ? rad_from_deg(value) : m_from_mm(value);
  std::vector<std::vector<wall::Strip>> sections;
  for (const wall::Section& section : wall.sections) {
    sections.emplace_back();
    for (const int s : section.strips) sections.back().push_back(wall.strips[static_cast<std::size_t>(s)]);
  }
  wall = wall::make_wall(wall.name, std::move(sections), wall.room);
  turned.fault = join_messages(wall::check_wall(wall));
}

void turn_climber(const Knob& knob, double value, TurnedScene& turned) {
  move::Climber& climber = turned.scene.climber;
  if (knob.kind == KnobKind::kSpan) {
    climber.measures.span_m = m_from_mm(value);
  } else if (knob.kind == KnobKind::kStature) {
    // The build stays: mass with the square of the stature, a measured span in proportion, finger force with the mass.
    const double scale = m_from_mm(value) / climber.measures.stature_m;
    climber.measures.stature_m = m_from_mm(value);
    climber.measures.mass_kg *= scale * scale;
    climber.fingers.edge_force_N *= scale * scale;
    for (std::optional<double>* length :
         {&climber.measures.span_m, &climber.measures.sitting_height_m, &climber.measures.inseam_m,
          &climber.measures.hand_length_m, &climber.measures.foot_length_m}) {
      if (*length) **length *= scale;
    }
  } else {
    for (double* strength : {&climber.measures.arm_strength, &climber.measures.core_strength,
                             &climber.measures.leg_strength, &climber.fingers.edge_force_N}) {
      *strength *= value;
    }
  }
}

}  // namespace

std::string_view name_of(KnobKind kind) { return row_of(kind).name; }
std::string_view unit_of(KnobKind kind) { return row_of(kind).unit; }

std::optional<KnobKind> knob_kind_from_name(std::string_view name) {
  for (const KindRow& row : kKinds) {
    if (row.name == name) return row.kind;
  }
  return std::nullopt;
}

std::vector<std::string> list_knob_kinds() {
  std::vector<std::string> names;
  names.reserve(kKinds.size());
  for (const KindRow& row : kKinds) names.emplace_back(row.name);
  return names;
}

Result<Knob> find_knob(const move::Scene& scene, KnobKind kind, const std::string& name) {
  const Knob knob{kind, -1};
  if (kind == KnobKind::kAngle || kind == KnobKind::kKicker) return find_strip_knob(scene, kind, name);
  if (knob.is_of_hold()) return find_hold_knob(scene, kind, name);
  if (!name.empty())
    return failure(fmt::format("{} is not of one hold or strip", row_of(kind).name), "leave out what follows @");
  return knob;
}

std::string describe(const move::Scene& scene, const Knob& knob) {
  std::string name(row_of(knob.kind).name);
  if (knob.index < 0) return name;
  if (knob.is_of_hold()) return fmt::format("{} of '{}'", name, scene.holds[static_cast<std::size_t>(knob.index)].name);
  return fmt::format("{} of '{}'", knob.kind == KnobKind::kKicker ? "height" : name,
                     scene.wall.strips[static_cast<std::size_t>(knob.index)].name);
}

double find_knob_value(const move::Scene& scene, const Knob& knob) {
  const body::Measures& measures = scene.climber.measures;
  if (knob.kind == KnobKind::kStature) return mm_from_m(measures.stature_m);
  if (knob.kind == KnobKind::kSpan) return mm_from_m(body::make_body(measures).span_m);
  if (knob.index < 0) return 1.0;
  if (!knob.is_of_hold()) {
    const wall::Strip& strip = scene.wall.strips[static_cast<std::size_t>(knob.index)];
    return knob.kind == KnobKind::kAngle ? deg_from_rad(strip.angle) : mm_from_m(strip.length_m);
  }
  const move::PlacedHold& placed = scene.holds[static_cast<std::size_t>(knob.index)];
  if (knob.kind == KnobKind::kAcross) return mm_from_m(placed.across_m);
  if (knob.kind == KnobKind::kUp) return mm_from_m(placed.up_m);
  if (knob.kind == KnobKind::kRotation) return deg_from_rad(placed.rotation);
  hold::Shape shape = placed.hold.shape;
  const double value = shape_field(shape, knob.kind);
  return knob.kind == KnobKind::kIncut ? deg_from_rad(value) : mm_from_m(value);
}

TurnedScene turn_knobs(const move::Scene& scene, const std::vector<Knob>& knobs, const std::vector<double>& values) {
  TurnedScene turned;
  turned.scene = scene;
  for (std::size_t k = 0; k < knobs.size() && turned.fault.empty(); ++k) {
    if (knobs[k].kind == KnobKind::kFriction) {
      turned.friction_factor *= values[k];
    } else if (knobs[k].is_of_climber()) {
      turn_climber(knobs[k], values[k], turned);
    } else if (knobs[k].is_of_hold()) {
      turn_hold(knobs[k], values[k], turned);
    } else {
      turn_wall(knobs[k], values[k], turned);
    }
  }
  move::place_holds(turned.scene);
  return turned;
}

}  // namespace steepwright::study
