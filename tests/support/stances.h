#pragma once

/// Random stances that have a solution by construction: contacts, turning ranges and wall are laid around a random
/// posture inside all limits.

#include "engine/body/body.h"
#include "engine/core/random.h"
#include "engine/core/units.h"
#include "engine/posture/rows.h"
#include "engine/posture/stance_problem.h"
#include "engine/posture/starts.h"
#include "engine/wall/wall.h"

#include <cmath>

namespace steepwright::tests {

/// One plane panel, 4 m wide and 4 m long, leaning over by `angle`, without kicker.
[[nodiscard]] inline wall::Wall make_plane_wall(double angle) {
  wall::Strip strip;
  strip.name = "panel";
  strip.angle = angle;
  strip.width_m = 4.0;
  strip.length_m = 4.0;
  return wall::make_wall("plane", {{strip}}, std::nullopt);
}

/// A kicker of 0.3 m under a panel.
[[nodiscard]] inline wall::Wall make_kicker_wall(double angle) {
  wall::Strip kicker;
  kicker.name = "kicker";
  kicker.width_m = 3.0;
  kicker.length_m = 0.3;
  wall::Strip panel = kicker;
  panel.name = "panel";
  panel.angle = angle;
  panel.length_m = 3.6;
  return wall::make_wall("kicker and panel", {{kicker, panel}}, std::nullopt);
}

/// A Coulomb cone about `normal` with one strength bound along it.
[[nodiscard]] inline CapacitySet make_wedge(const Vec3& normal, double mu, double bound_N) {
  CapacitySet set;
  set.normal = normal.normalized();
  set.mu = mu;
  set.bounds.push_back({set.normal, bound_N});
  return set;
}

struct DrawnStance {
  body::Posture solution;
  posture::StanceProblem problem;  ///< points to the body and wall it was drawn for
};

/// Angles around a climbing posture, spread by `spread` of each hinge's range, inside all limits.
[[nodiscard]] inline body::Posture draw_posture(RandomStream& random, const body::Body& body, double spread) {
  const auto hinges = posture::make_start_hinges(body);
  body::Posture drawn;
  for (int attempt = 0; attempt < 1000; ++attempt) {
    drawn.angles = posture::find_rest_angles(body, hinges);
    for (int h = 0; h < body.tree.n_hinges(); ++h) {
      const body::Hinge& hinge = body.tree.hinges[static_cast<std::size_t>(h)];
      drawn.angles[h] = std::clamp(drawn.angles[h] + random.symmetric(spread) * (hinge.upper - hinge.lower),
                                   hinge.lower, hinge.upper);
    }
    bool is_inside = true;
    for (const body::CoupledLimit& limit : body.coupled_limits) {
      is_inside = is_inside && body::find_coupled_limit(limit, drawn.angles).value > 0.02;
    }
    if (is_inside) break;
  }
  return drawn;
}

/// Lays a stance around a random posture in front of `wall` (whose first panel's middle the body faces). The posture
/// keeps `gap` between body and wall.
[[nodiscard]] inline DrawnStance draw_stance(RandomStream& random, const body::Body& body, const wall::Wall& wall,
                                             double spread = 0.25) {
  DrawnStance drawn;
  drawn.problem.body = &body;
  drawn.problem.wall = &wall;
  body::Kinematics kinematics;
  const wall::Strip& strip = wall.strips.back();
  for (int attempt = 0; attempt < 1000; ++attempt) {
    drawn.solution = draw_posture(random, body, spread);
    // Lean with the panel, turned a little, then push towards the panel until something is near it.
    drawn.solution.R_WB = rotation_by(Vec3::UnitX() * strip.angle * random.uniform(0.2, 1.0)) *
                          rotation_by(Vec3::UnitZ() * random.symmetric(0.6));
    const Vec3 n = strip.X_WP.R.col(2);
    const Vec3 middle = strip.X_WP * Vec3(0.5 * strip.width_m, 0.4 * strip.length_m, 0.0);
    const double gap = random.uniform(0.02, 0.15);
    drawn.solution.p_WB = middle + 1.0 * n;
    posture::StanceProblem bare;
    bare.body = &body;
    bare.wall = &wall;
    body::update_kinematics(body.tree, drawn.solution, kinematics);
    const double clearance = posture::find_violation(bare, drawn.solution, kinematics, {}).clearance_m;
    drawn.solution.p_WB -= (clearance - gap) * n;
    body::update_kinematics(body.tree, drawn.solution, kinematics);
    if (posture::find_violation(bare, drawn.solution, kinematics, {}).clearance_m > 0.01) break;
  }
  for (const Limb limb : kLimbs) {
    const body::Station& station = body.station(limb, Grip::kHalfCrimp);
    posture::LimbGoal goal;
    goal.limb = limb;
    goal.segment = station.segment;
    goal.p_BC = station.p_BC;
    const Mat3& R_WB = kinematics.R_WB[static_cast<std::size_t>(station.segment)];
    goal.p_WC = body::find_position(kinematics, station.segment, station.p_BC);
    const auto add_range = [&](const Vec3& u_B, double half_angle_deg) {
      const double half = rad_from_deg(half_angle_deg);
      const Vec3 tilt = Vec3(random.symmetric(1.0), random.symmetric(1.0), random.symmetric(1.0)).normalized();
      const Vec3 a_W = rotation_by(tilt * (0.7 * half * random.uniform())) * (R_WB * u_B);
      goal.directions.push_back({station.segment, u_B, a_W, std::cos(half)});
    };
    add_range(station.lateral_B, is_hand(limb) ? 35.0 : 75.0);
    add_range(station.distal_B, is_hand(limb) ? 60.0 : 75.0);
    const Vec3 up = strip.X_WP.R.col(1);
    const Vec3 normal = is_hand(limb) ? (up - 0.35 * strip.X_WP.R.col(2)).normalized() : up;
    goal.capacity = make_wedge(normal, is_hand(limb) ? 0.7 : 0.8, is_hand(limb) ? 500.0 : 1700.0);
    goal.scale_N = goal.capacity.bounds[0].b_N;
    const double spread_m = station.half_spread_m;
    goal.points.push_back(goal.p_WC - spread_m * Vec3::UnitX());
    goal.points.push_back(goal.p_WC + spread_m * Vec3::UnitX());
    drawn.problem.limbs.push_back(goal);
  }
  return drawn;
}

}  // namespace steepwright::tests
