#include "engine/move/goals.h"

#include "engine/core/contract.h"
#include "engine/core/units.h"

#include <algorithm>
#include <cmath>

namespace steepwright::move {

namespace {

using posture::DirectionRange;
using posture::LimbGoal;

// How far a hand or foot may turn on its site. Assumed: no published ranges for hands on holds were found.
constexpr double kHandAcross_deg = 35.0;   ///< knuckle line from the lip line
constexpr double kHandOutward_deg = 35.0;  ///< hand leaning out from the plane over the lip
constexpr double kHandOver_deg = 30.0;     ///< wrist above the floor (pressing down, or an undercut)
constexpr double kToeAside_deg = 75.0;     ///< toe from straight in (edging on either side)
constexpr double kSoleTilt_deg = 60.0;     ///< sole from flat on the floor

/// Pads and shoe edges rest this far behind the lip on a deep floor, m times Body::scale (assumed: half a distal pad).
constexpr double kBearingDepth = 0.010;

void add_range(LimbGoal& goal, const Vec3& u_B, const Vec3& a_W, double lower) {
  goal.directions.push_back({goal.segment, u_B, a_W, lower});
}

void add_hand_ranges(const body::Station& station, const Mat3& R_WS, LimbGoal& goal) {
  add_range(goal, station.lateral_B, R_WS.col(0), std::cos(rad_from_deg(kHandAcross_deg)));
  add_range(goal, station.distal_B, R_WS.col(1), -std::sin(rad_from_deg(kHandOutward_deg)));
  add_range(goal, station.distal_B, R_WS.col(2), -std::sin(rad_from_deg(kHandOver_deg)));
}

void add_foot_ranges(const body::Station& station, const Mat3& R_WS, LimbGoal& goal) {
  add_range(goal, station.distal_B, R_WS.col(1), std::cos(rad_from_deg(kToeAside_deg)));
  add_range(goal, station.palmar_B, -R_WS.col(2), std::cos(rad_from_deg(kSoleTilt_deg)));
}

/// What the limb carries along its set's axis: the size against which its force counts as effort.
double find_scale(const CapacitySet& capacity) {
  constexpr double kLargest_N = 1e4;
  return 1.0 / std::max(1.0 / kLargest_N, find_capacity_use(capacity, capacity.normal));
}

/// Swing of a forearm that hangs plumb below the site.
double find_hanging_swing(const Pose& X_WS) { return grip::find_forearm_swing(X_WS.R.transpose() * Vec3::UnitZ()); }

const PlacedHold& hold_of(const Scene& scene, const LimbPlace& place) {
  return scene.holds[static_cast<std::size_t>(place.hold)];
}

}  // namespace

Stance find_settled(const Move& move) {
  Stance stance = move.before;
  stance.limbs[index_of(move.moving)] = move.target;
  return stance;
}

Limb find_other_side(Limb limb) {
  if (is_hand(limb)) return is_left(limb) ? Limb::kRightHand : Limb::kLeftHand;
  return is_left(limb) ? Limb::kRightFoot : Limb::kLeftFoot;
}

const wall::Strip& find_strip(const Scene& scene, const LimbPlace& place) {
  const int strip = place.hold >= 0 ? hold_of(scene, place).strip : place.strip;
  return scene.wall.strips[static_cast<std::size_t>(strip)];
}

void place_holds(Scene& scene) {
  for (PlacedHold& placed : scene.holds) {
    const wall::Strip& strip = scene.wall.strips[static_cast<std::size_t>(placed.strip)];
    placed.X_WH = wall::find_pose_on_strip(strip, placed.across_m, placed.up_m, placed.rotation);
  }
}

hold::Site find_site(const Scene& scene, const LimbPlace& place) {
  if (place.hold >= 0) return hold_of(scene, place).hold.sites[static_cast<std::size_t>(place.site)];
  return hold::make_panel_site();
}

Pose find_site_pose(const Scene& scene, const LimbPlace& place) {
  if (place.hold >= 0) return hold_of(scene, place).X_WH * find_site(scene, place).X_HS;
  return wall::find_pose_on_strip(find_strip(scene, place), place.across_m, place.up_m);
}

grip::Hand make_climber_hand(const Climber& climber, const body::Body& body) {
  grip::HandMeasures measures;
  measures.hand_length_m = body.hand_length_m;
  measures.middle_finger_m = climber.middle_finger_m;
  measures.finger_breadth_m = climber.finger_breadth_m;
  return grip::make_hand(measures, climber.fingers, climber.chalked);
}

LimbGoal make_limb_goal(const Scene& scene, const body::Body& body, Limb limb, const LimbPlace& place,
                        grip::CapacityCache& hands, std::optional<double> forearm_swing) {
  const hold::Site site = find_site(scene, place);
  const Pose X_WS = find_site_pose(scene, place);
  const bool is_smear = place.hold < 0;
  const Grip grip = place.grip.value_or(Grip::kOpenHand);
  const body::Station& station = body.station(limb, grip);

  LimbGoal goal;
  goal.limb = limb;
  goal.segment = station.segment;
  goal.p_BC = station.p_BC;
  const double bearing_m = is_smear ? 0.0 : std::min(0.5 * site.depth_m, kBearingDepth * body.scale);
  goal.p_WC = X_WS * Vec3(0.0, bearing_m, 0.0);
  if (is_hand(limb)) {
    goal.capacity = hands.find(site, grip, forearm_swing.value_or(find_hanging_swing(X_WS))).rotated(X_WS.R);
    add_hand_ranges(station, X_WS.R, goal);
  } else {
    goal.capacity = grip::make_foot_capacity(site, body.measures.mass_kg).rotated(X_WS.R);
    add_foot_ranges(station, X_WS.R, goal);
  }
  goal.scale_N = find_scale(goal.capacity);
  const double spread_m = std::min(station.half_spread_m, 0.5 * site.width_m);
  if (spread_m > 0.0) {
    goal.points = {goal.p_WC - spread_m * X_WS.R.col(0), goal.p_WC + spread_m * X_WS.R.col(0)};
  } else {
    goal.points = {goal.p_WC};
  }
  return goal;
}

namespace {

/// Half the distance between the middles of two hands (or feet) side by side on one site, m (assumed: hand breadth).
constexpr double kSideBySide = 0.045;

bool is_same_site(const LimbPlace& a, const LimbPlace& b) {
  return a.hold >= 0 && a.hold == b.hold && a.site == b.site;
}

/// Two limbs of a kind that share a site stand side by side on it, as far as its width allows.
void part_shared_sites(const Scene& scene, const Stance& stance, posture::StanceProblem& problem) {
  for (const Limb left : {Limb::kLeftHand, Limb::kLeftFoot}) {
    const Limb right = find_other_side(left);
    const std::optional<LimbPlace>& left_place = stance.limbs[index_of(left)];
    const std::optional<LimbPlace>& right_place = stance.limbs[index_of(right)];
    if (!left_place || !right_place || !is_same_site(*left_place, *right_place)) continue;
    const Vec3 along_W = find_site_pose(scene, *left_place).R.col(0);
    const double shift_m = std::min(kSideBySide, 0.25 * find_site(scene, *left_place).width_m);
    for (posture::LimbGoal& goal : problem.limbs) {
      if (goal.limb != left && goal.limb != right) continue;
      // The left limb stands to the climber's left, however the hold is turned.
      const double side = (goal.limb == left ? -1.0 : 1.0) * (along_W.x() >= 0.0 ? 1.0 : -1.0);
      goal.p_WC += side * shift_m * along_W;
      for (Vec3& p_WC : goal.points) p_WC += side * shift_m * along_W;
    }
  }
}

}  // namespace

posture::StanceProblem make_stance_problem(const Scene& scene, const body::Body& body, const Stance& stance,
                                           grip::CapacityCache& hands, const ForearmSwings& swings) {
  posture::StanceProblem problem;
  problem.body = &body;
  problem.wall = &scene.wall;
  for (const Limb limb : kLimbs) {
    const std::optional<LimbPlace>& place = stance.limbs[index_of(limb)];
    if (!place) continue;
    const std::optional<double> swing = is_hand(limb) ? swings[is_left(limb) ? 0 : 1] : std::nullopt;
    problem.limbs.push_back(make_limb_goal(scene, body, limb, *place, hands, swing));
  }
  part_shared_sites(scene, stance, problem);
  return problem;
}

Vec3 find_forearm(const body::Body& body, Limb hand, const body::Kinematics& kinematics) {
  const auto segment = static_cast<std::size_t>(body.station(hand, Grip::kOpenHand).segment);
  const auto forearm = static_cast<std::size_t>(body.tree.segments[segment].parent);
  return (kinematics.p_WB[segment] - kinematics.p_WB[forearm]).normalized();
}

ForearmSwings find_forearm_swings(const Scene& scene, const body::Body& body, const Stance& stance,
                                  const body::Kinematics& kinematics) {
  ForearmSwings swings;
  for (const Limb limb : {Limb::kLeftHand, Limb::kRightHand}) {
    const std::optional<LimbPlace>& place = stance.limbs[index_of(limb)];
    if (!place) continue;
    const Vec3 forearm_S = find_site_pose(scene, *place).R.transpose() * find_forearm(body, limb, kinematics);
    swings[is_left(limb) ? 0 : 1] = grip::find_forearm_swing(forearm_S);
  }
  return swings;
}

}  // namespace steepwright::move
