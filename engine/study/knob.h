#pragma once

/// What a study may vary in a scene, in file units (mm, degrees, factors): wall, holds, climber.

#include "engine/move/scene.h"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace steepwright::study {

enum class KnobKind {
  kAngle,     ///< overhang of a strip, deg
  kKicker,    ///< length of the lowest strip, mm
  kAcross,    ///< of a hold, mm
  kUp,        ///< of a hold, mm
  kRotation,  ///< of a hold, deg
  kDepth,     ///< of a hold's floor, mm
  kIncut,     ///< of a hold's floor, deg
  kRounding,  ///< lip radius of a hold, mm
  kStature,   ///< mm; lengths that were not measured follow
  kSpan,      ///< mm
  kStrength,  ///< factor on joints and fingers
  kFriction,  ///< factor on every mu (friction cones; what fingers carry along their pulls stays)
};

[[nodiscard]] std::string_view name_of(KnobKind kind);
[[nodiscard]] std::string_view unit_of(KnobKind kind);  ///< "deg", "mm", "factor"
/// The kind of that name ("angle", "depth", ...); nothing when there is none.
[[nodiscard]] std::optional<KnobKind> knob_kind_from_name(std::string_view name);
[[nodiscard]] std::vector<std::string> list_knob_kinds();

/// One thing to vary: a kind, and which hold or strip.
struct Knob {
  KnobKind kind = KnobKind::kAngle;
  int index = -1;  ///< of the hold (kAcross .. kRounding) or strip (kAngle, kKicker); unused otherwise

  [[nodiscard]] bool is_of_hold() const { return kind >= KnobKind::kAcross && kind <= KnobKind::kRounding; }
  [[nodiscard]] bool is_of_climber() const { return kind >= KnobKind::kStature && kind <= KnobKind::kStrength; }
};

/// The knob of a kind at a hold or strip of that name; "" where the scene leaves no choice: the one overhanging strip,
/// the lowest one. Error: no such name, or a hold that is a mesh and has no dimensions to vary.
[[nodiscard]] Result<Knob> find_knob(const move::Scene& scene, KnobKind kind, const std::string& name);

/// "angle of 'main'", "depth of 'thin rim'", "stature".
[[nodiscard]] std::string describe(const move::Scene& scene, const Knob& knob);

/// What the knob stands at now, in its unit.
[[nodiscard]] double find_knob_value(const move::Scene& scene, const Knob& knob);

/// A scene with a knob turned.
struct TurnedScene {
  move::Scene scene;
  double friction_factor = 1.0;
  std::string fault;  ///< why it cannot be built, "" when it can
};

/// Turns knobs one after the other. Holds keep their place on their panel and strips stay joined, so that a changed
/// angle or kicker moves all that hangs on it.
[[nodiscard]] TurnedScene turn_knobs(const move::Scene& scene, const std::vector<Knob>& knobs,
                                     const std::vector<double>& values);

}  // namespace steepwright::study
