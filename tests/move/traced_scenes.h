#pragma once

/// Scenes made in code for tests of the trace: a panel with rails for the hands and blocks for the feet.

#include "engine/core/units.h"
#include "engine/move/goals.h"
#include "engine/move/solve.h"
#include "tests/support/scene_parts.h"

#include <algorithm>
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

/// Lengths by k, masses by k^3, forces by k^3, torques by k^4.
inline body::Body scaled(const body::Body& body, double k) {
  body::Body big = body;
  for (body::Segment& segment : big.tree.segments) {
    segment.p_PB *= k;
    segment.p_Bcm *= k;
    segment.mass_kg *= k * k * k;
  }
  big.tree.mass_kg *= k * k * k;
  big.measures.mass_kg *= k * k * k;
  big.measures.stature_m *= k;
  big.scale *= k;
  const double k4 = k * k * k * k;
  for (body::Body::HingeStrength& strength : big.strengths) {
    strength.peak_lower *= k4;
    strength.peak_upper *= k4;
    strength.passive_lower *= k4;
    strength.passive_upper *= k4;
  }
  for (body::Capsule& capsule : big.capsules) {
    for (Vec3* end : {&capsule.pA_B, &capsule.pB_B}) *end *= k;
    for (double* radius : {&capsule.radius_A, &capsule.radius_B}) *radius *= k;
  }
  const auto scale = [k](body::Station& station) {
    station.p_BC *= k;
    station.half_spread_m *= k;
  };
  for (auto& side : big.hand_stations) std::for_each(side.begin(), side.end(), scale);
  std::for_each(big.foot_stations.begin(), big.foot_stations.end(), scale);
  return big;
}

/// Wall and holds by k. What fingers feel of a hold (its depth and lip) stays: the sets are scaled as a whole, by
/// SolveOptions::hand_factor.
inline Scene scaled(const Scene& scene, double k) {
  Scene big = scene;
  std::vector<wall::Strip> strips = scene.wall.strips;
  for (wall::Strip& strip : strips) {
    strip.width_m *= k;
    strip.length_m *= k;
  }
  big.wall = wall::make_wall(scene.wall.name, {strips}, std::nullopt);
  for (PlacedHold& placed : big.holds) {
    hold::Shape& shape = placed.hold.shape;
    for (double* length_m : {&placed.across_m, &placed.up_m, &shape.width_m, &shape.height_m, &shape.protrusion_m}) {
      *length_m *= k;
    }
    for (hold::Site& site : placed.hold.sites) {
      site.X_HS.p *= k;
      site.width_m *= k;
    }
  }
  place_holds(big);
  return big;
}

struct Traced {
  body::Body body;
  MoveResult result;
};

/// With another body than the climber's, whose hand stays.
inline Traced trace(const Scene& scene, const body::Body& body, const SolveOptions& options = {}) {
  Traced traced{body, {}};
  posture::StanceWorkspace workspace(traced.body);
  grip::CapacityCache hands(make_climber_hand(scene.climber, body::make_body(scene.climber.measures)));
  traced.result = solve_move(scene, traced.body, scene.moves.front(), options, workspace, hands);
  return traced;
}

inline Traced trace(const Scene& scene, const SolveOptions& options = {}) {
  return trace(scene, body::make_body(scene.climber.measures), options);
}

}  // namespace steepwright::move::tests
