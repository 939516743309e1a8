#pragma once

/// A small scene that holds: a kicker under a panel, two buckets, two foot blocks, a higher bucket that the right hand
/// goes to. For tests of what studies a scene.

#include "engine/body/body.h"
#include "engine/core/units.h"
#include "engine/move/goals.h"
#include "tests/support/scene_parts.h"

#include <string>

namespace steepwright::tests {

[[nodiscard]] inline hold::Hold make_bucket() { return make_jug("bucket", 0.16, 0.09); }

inline int bolt(move::Scene& scene, const std::string& name, hold::Hold hold, int strip, double across_m, double up_m) {
  move::PlacedHold placed;
  placed.name = name;
  placed.hold = std::move(hold);
  placed.strip = strip;
  placed.across_m = across_m;
  placed.up_m = up_m;
  scene.holds.push_back(std::move(placed));
  return static_cast<int>(scene.holds.size()) - 1;
}

/// One move, the right hand from its bucket to the higher one.
[[nodiscard]] inline move::Scene make_study_scene(double angle_deg) {
  move::Scene scene;
  scene.name = "study";
  wall::Strip kicker;
  kicker.name = "kicker";
  kicker.width_m = 2.0;
  kicker.length_m = 0.3;
  wall::Strip panel = kicker;
  panel.name = "main";
  panel.angle = rad_from_deg(angle_deg);
  panel.length_m = 2.8;
  panel.lattice = wall::Lattice{};
  scene.wall = wall::make_wall("study", {{kicker, panel}}, std::nullopt);
  scene.climber.measures.mass_kg = 70.0;
  scene.climber.measures.arm_strength = 1.4;
  scene.climber.measures.core_strength = 1.4;
  scene.climber.fingers.edge_force_N = grip::default_edge_force(grip::Ability::kAdvanced, 70.0);
  move::Move move;
  move.name = "right hand up";
  move.moving = Limb::kRightHand;
  move.before.limbs[0] = on_hold(bolt(scene, "left bucket", make_bucket(), 1, 0.8, 1.5), Grip::kJug);
  move.before.limbs[1] = on_hold(bolt(scene, "right bucket", make_bucket(), 1, 1.2, 1.5), Grip::kJug);
  move.before.limbs[2] = on_hold(bolt(scene, "left block", make_foot_block(), 0, 0.8, 0.2));
  move.before.limbs[3] = on_hold(bolt(scene, "right block", make_foot_block(), 0, 1.2, 0.2));
  move.target = on_hold(bolt(scene, "high bucket", make_bucket(), 1, 1.1, 1.9), Grip::kJug);
  scene.moves.push_back(move);
  move::place_holds(scene);
  return scene;
}

}  // namespace steepwright::tests
