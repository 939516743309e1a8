#pragma once

/// Scenes made in code for tests of the trace: a panel with rails for the hands and blocks for the feet.

#include "engine/core/units.h"
#include "engine/move/goals.h"
#include "engine/move/solve.h"
#include "tests/support/scene_parts.h"

#include <string>
#include <vector>

namespace steepwright::move::tests {

struct HoldAt {
  std::string name;
  double across_m = 0.0, up_m = 0.0;
  bool is_foothold = false;
};

using steepwright::tests::on_hold;

inline Scene make_panel_scene(double angle_deg, const std::vector<HoldAt>& holds) {
  Scene scene;
  wall::Strip panel;
  panel.name = "panel";
  panel.angle = rad_from_deg(angle_deg);
  panel.width_m = 2.4;
  panel.length_m = 3.4;
  scene.wall = wall::make_wall("panel", {{panel}}, std::nullopt);
  for (const HoldAt& at : holds) {
    PlacedHold placed;
    placed.name = at.name;
    placed.across_m = at.across_m;
    placed.up_m = at.up_m;
    placed.hold = at.is_foothold ? steepwright::tests::make_foot_block(0.10, 0.05, 0.035)
                                 : steepwright::tests::make_jug("rail", 0.20, 0.08);
    scene.holds.push_back(placed);
  }
  place_holds(scene);
  scene.climber.fingers.edge_force_N = 520.0;
  return scene;
}

/// Hands on two rails, feet on two blocks; the left hand goes to a rail above. Not symmetric about the middle.
inline Scene make_reach_scene(double angle_deg) {
  Scene scene = make_panel_scene(angle_deg, {{"left rail", 1.00, 1.75},
                                             {"right rail", 1.45, 1.80},
                                             {"left block", 0.95, 0.55, true},
                                             {"right block", 1.40, 0.50, true},
                                             {"high rail", 1.05, 2.15}});
  Move move;
  move.name = "left hand up";
  move.before.limbs[0] = on_hold(0, Grip::kJug);
  move.before.limbs[1] = on_hold(1, Grip::kJug);
  move.before.limbs[2] = on_hold(2);
  move.before.limbs[3] = on_hold(3);
  move.moving = Limb::kLeftHand;
  move.target = on_hold(4, Grip::kJug);
  scene.moves.push_back(move);
  return scene;
}

/// The same scene seen in a mirror: across positions from the other edge, left limbs for right ones.
inline Scene mirrored(const Scene& scene) {
  Scene mirror = scene;
  for (PlacedHold& placed : mirror.holds) {
    placed.across_m = scene.wall.strips[static_cast<std::size_t>(placed.strip)].width_m - placed.across_m;
    placed.rotation = -placed.rotation;
  }
  place_holds(mirror);
  for (std::size_t m = 0; m < scene.moves.size(); ++m) {
    for (const Limb limb : kLimbs) {
      mirror.moves[m].before.limbs[index_of(find_other_side(limb))] = scene.moves[m].before.limbs[index_of(limb)];
    }
    mirror.moves[m].moving = find_other_side(scene.moves[m].moving);
  }
  return mirror;
}

struct Traced {
  body::Body body;
  MoveResult result;
};

inline Traced trace(const Scene& scene, const SolveOptions& options = {}) {
  Traced traced{body::make_body(scene.climber.measures), {}};
  posture::StanceWorkspace workspace(traced.body);
  grip::CapacityCache hands(make_climber_hand(scene.climber, traced.body));
  traced.result = solve_move(scene, traced.body, scene.moves.front(), options, workspace, hands);
  return traced;
}

}  // namespace steepwright::move::tests
