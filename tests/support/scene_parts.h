#pragma once

/// What scenes made in code have in common: a jug for hands, a block for feet, a limb on a hold.

#include "engine/core/units.h"
#include "engine/move/scene.h"

#include <optional>
#include <string>

namespace steepwright::tests {

/// 45 mm deep, 20 degrees incut.
[[nodiscard]] inline hold::Hold make_jug(const std::string& name, double width_m, double height_m) {
  hold::Shape shape;
  shape.name = name;
  shape.family = hold::Family::kJug;
  shape.width_m = width_m;
  shape.height_m = height_m;
  shape.protrusion_m = 0.06;
  shape.depth_m = 0.045;
  shape.incut = rad_from_deg(20.0);
  shape.lip_radius_m = 0.008;
  return hold::make_hold(shape);
}

[[nodiscard]] inline hold::Hold make_foot_block(double width_m = 0.08, double protrusion_m = 0.04,
                                                double depth_m = 0.03) {
  hold::Shape shape;
  shape.name = "block";
  shape.family = hold::Family::kFootChip;
  shape.surface = hold::Surface::kResinTexture;
  shape.width_m = width_m;
  shape.height_m = 0.05;
  shape.protrusion_m = protrusion_m;
  shape.depth_m = depth_m;
  shape.lip_radius_m = 0.002;
  return hold::make_hold(shape);
}

[[nodiscard]] inline move::LimbPlace on_hold(int hold, std::optional<Grip> grip = std::nullopt) {
  move::LimbPlace place;
  place.hold = hold;
  place.grip = grip;
  return place;
}

}  // namespace steepwright::tests
