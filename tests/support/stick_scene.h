#pragma once

/// A small climber, wall and solved move made by hand, for tests of what presents results. Forces balance exactly; the
/// numbers are not meant to be good climbing.

#include "engine/body/body.h"
#include "engine/body/kinematics.h"
#include "engine/core/constants.h"
#include "engine/core/units.h"
#include "engine/move/result.h"
#include "engine/move/scene.h"

#include <Eigen/Dense>

#include <array>
#include <string>
#include <utility>
#include <vector>

namespace steepwright::tests {

inline int add_segment(body::Body& body, const std::string& name, int parent, const Vec3& p_PB, const Vec3& p_Bcm,
                       double mass_kg, const std::vector<std::pair<body::Axis, double>>& hinges) {
  body::Segment segment;
  segment.name = name;
  segment.parent = parent;
  segment.p_PB = p_PB;
  segment.p_Bcm = p_Bcm;
  segment.mass_kg = mass_kg;
  segment.first_hinge = body.tree.n_hinges();
  segment.n_hinges = static_cast<int>(hinges.size());
  const int index = body.tree.n_segments();
  for (const auto& [axis, sign] : hinges)
    body.tree.hinges.push_back({name + " " + std::to_string(body.tree.n_hinges()), index, axis, sign, -3.0, 3.0});
  body.tree.segments.push_back(segment);
  body.tree.mass_kg += mass_kg;
  return index;
}

inline void add_flesh(body::Body& body, int segment, const Vec3& pA_B, const Vec3& pB_B, double radius_A,
                      double radius_B) {
  body.capsules.push_back(
      {body.tree.segments[static_cast<std::size_t>(segment)].name, segment, pA_B, pB_B, radius_A, radius_B});
}

/// Pelvis, thorax, head, two arms and two legs; 15 segments.
inline body::Body make_stick_body() {
  using body::Axis;
  body::Body body;
  const int pelvis = add_segment(body, "pelvis", -1, Vec3::Zero(), {0, 0, 0.03}, 10.0, {});
  const int thorax = add_segment(body, "thorax", pelvis, {0, 0, 0.12}, {0, 0, 0.2}, 20.0, {{Axis::kX, -1.0}});
  const int head = add_segment(body, "head", thorax, {0, 0, 0.45}, {0, 0, 0.13}, 5.0, {{Axis::kX, -1.0}});
  add_flesh(body, pelvis, {-0.07, 0, 0}, {0.07, 0, 0}, 0.11, 0.11);
  add_flesh(body, thorax, {0, 0, 0.05}, {0, 0, 0.33}, 0.11, 0.13);
  add_flesh(body, head, {0, 0, 0.12}, {0, 0, 0.16}, 0.095, 0.095);
  for (const int side : {-1, 1}) {
    const std::string name = side < 0 ? "left " : "right ";
    const double x = side;
    const std::vector<std::pair<Axis, double>> ball = {{Axis::kX, 1.0}, {Axis::kY, -x}, {Axis::kZ, x}};
    const int arm = add_segment(body, name + "upper arm", thorax, {0.19 * x, 0, 0.38}, {0, 0, -0.15}, 2.0, ball);
    const int forearm = add_segment(body, name + "forearm", arm, {0, 0, -0.31}, {0, 0, -0.12}, 1.2, {{Axis::kX, 1.0}});
    const int hand = add_segment(body, name + "hand", forearm, {0, 0, -0.26}, {0, 0, -0.08}, 0.5, {{Axis::kX, 1.0}});
    const int thigh = add_segment(body, name + "thigh", pelvis, {0.09 * x, 0, -0.06}, {0, 0, -0.19}, 9.0, ball);
    const int shank = add_segment(body, name + "shank", thigh, {0, 0, -0.43}, {0, 0, -0.2}, 3.3, {{Axis::kX, -1.0}});
    const int foot = add_segment(body, name + "foot", shank, {0, 0, -0.42}, {0, 0.06, -0.04}, 1.0, {{Axis::kX, 1.0}});
    add_flesh(body, arm, Vec3::Zero(), {0, 0, -0.31}, 0.055, 0.045);
    add_flesh(body, forearm, Vec3::Zero(), {0, 0, -0.26}, 0.045, 0.03);
    add_flesh(body, thigh, Vec3::Zero(), {0, 0, -0.43}, 0.085, 0.06);
    add_flesh(body, shank, Vec3::Zero(), {0, 0, -0.42}, 0.055, 0.04);
    const std::size_t index = side < 0 ? 0 : 1;
    for (std::size_t grip = 0; grip < kGrips.size(); ++grip) {
      body.hand_stations[index][grip] = {.segment = hand, .p_BC = {0, 0.01, -0.15 + 0.004 * static_cast<double>(grip)}};
    }
    body.foot_stations[index] = {.segment = foot, .p_BC = {0, 0.19, -0.06}, .distal_B = Vec3::UnitY()};
  }
  body.span_m = 1.82;
  body.hand_length_m = 0.19;
  body.foot_length_m = 0.26;
  return body;
}

inline wall::Wall make_stick_wall() {
  wall::Wall wall;
  wall.name = "attic";
  Vec3 corner(0.0, 0.75, 0.0);  // far enough from the climber that no joint is inside
  for (const auto& [name, angle_deg, length_m] :
       {std::tuple{"kicker", 0.0, 0.35}, std::tuple{"main panel", 35.0, 2.4}, std::tuple{"roof", 75.0, 0.8}}) {
    wall::Strip strip;
    strip.name = name;
    strip.angle = rad_from_deg(angle_deg);
    strip.width_m = 2.4;
    strip.length_m = length_m;
    strip.X_WP.R.col(0) = Vec3::UnitX();
    strip.X_WP.R.col(1) = Vec3(0, -std::sin(strip.angle), std::cos(strip.angle));
    strip.X_WP.R.col(2) = Vec3(0, -std::cos(strip.angle), -std::sin(strip.angle));
    strip.X_WP.p = corner;
    strip.lattice = wall::Lattice{};
    corner += length_m * strip.X_WP.R.col(1);
    wall.strips.push_back(strip);
  }
  wall::Section section;
  section.width_m = 2.4;
  section.strips = {0, 1, 2};
  wall.sections.push_back(section);
  return wall;
}

/// A posture on the wall: `reach` 0 (crouched) to 1 (right arm long).
inline body::Posture make_stick_posture(const body::Body& body, double reach) {
  body::Posture posture;
  posture.p_WB = Vec3(1.2 + 0.05 * reach, -0.72 - 0.06 * reach, 0.85 + 0.12 * reach);
  posture.R_WB = rotation_by(Vec3(0.35, 0.0, 0.0));
  posture.angles = body::DofVector::Zero(body.tree.n_hinges());
  const auto set = [&](const std::string& segment, std::initializer_list<double> degrees) {
    const int index = body.tree.find_segment(segment);
    int hinge = body.tree.segments[static_cast<std::size_t>(index)].first_hinge;
    for (const double degree : degrees) posture.angles[hinge++] = rad_from_deg(degree);
  };
  set("left upper arm", {130.0 - 20.0 * reach, 25.0, 0.0});
  set("left forearm", {50.0 + 20.0 * reach});
  set("right upper arm", {120.0 + 35.0 * reach, 20.0, 0.0});
  set("right forearm", {60.0 - 50.0 * reach});
  set("left thigh", {75.0 - 10.0 * reach, 30.0, 0.0});
  set("left shank", {95.0 - 10.0 * reach});
  set("right thigh", {60.0 - 15.0 * reach, 20.0, 0.0});
  set("right shank", {70.0 - 20.0 * reach});
  return posture;
}

/// Forces of least sum of squares that balance the weight at the given points.
inline std::vector<Vec3> solve_balance(const std::vector<Vec3>& points, const Vec3& p_Wcm, double mass_kg) {
  Eigen::MatrixXd A(6, 3 * static_cast<Eigen::Index>(points.size()));
  for (std::size_t i = 0; i < points.size(); ++i) {
    A.block<3, 3>(0, 3 * static_cast<Eigen::Index>(i)) = Mat3::Identity();
    A.block<3, 3>(3, 3 * static_cast<Eigen::Index>(i)) = skew(points[i] - p_Wcm);
  }
  Eigen::VectorXd b = Eigen::VectorXd::Zero(6);
  b[2] = mass_kg * kGravity;
  const Eigen::VectorXd f = A.completeOrthogonalDecomposition().solve(b);
  std::vector<Vec3> forces;
  for (std::size_t i = 0; i < points.size(); ++i) forces.push_back(f.segment<3>(3 * static_cast<Eigen::Index>(i)));
  return forces;
}

inline move::Frame make_stick_frame(const body::Body& body, move::Phase phase, double t, double reach) {
  move::Frame frame;
  frame.phase = phase;
  frame.t = t;
  frame.has_posture = true;
  frame.is_held = true;
  frame.posture = make_stick_posture(body, reach);
  body::Kinematics kinematics;
  body::update_kinematics(body.tree, frame.posture, kinematics);
  frame.p_Wcm = kinematics.p_Wcm;
  const bool is_free = phase == move::Phase::kUnloaded || phase == move::Phase::kTouch;
  std::vector<Vec3> points;
  for (const Limb limb : kLimbs) {
    if (limb == Limb::kRightHand && phase == move::Phase::kUnloaded) continue;
    move::ContactResult contact;
    contact.limb = limb;
    contact.hold = is_hand(limb) ? (is_left(limb) ? "slot" : "ledge & \"lip\"") : (is_left(limb) ? "chip <a>" : "stub");
    contact.site = "lip";
    if (is_hand(limb)) contact.grip = Grip::kHalfCrimp;
    contact.is_loaded = !(limb == Limb::kRightHand && is_free);
    const body::Station& station =
        is_hand(limb) ? body.hand_stations[is_left(limb) ? 0 : 1][static_cast<std::size_t>(Grip::kHalfCrimp)]
                      : body.foot_stations[is_left(limb) ? 0 : 1];
    contact.p_WC = body::find_position(kinematics, station.segment, station.p_BC);
    if (contact.is_loaded) points.push_back(contact.p_WC);
    frame.contacts.push_back(contact);
  }
  const std::vector<Vec3> forces = solve_balance(points, frame.p_Wcm, body.tree.mass_kg);
  std::size_t next = 0;
  for (move::ContactResult& contact : frame.contacts) {
    contact.f_C_W = contact.is_loaded ? forces[next++] : Vec3(Vec3::Zero());
    const Vec3 direction = contact.is_loaded ? Vec3(contact.f_C_W.normalized()) : Vec3(Vec3::UnitZ());
    // Leaning 10 degrees from the force, so that margins are neither 0 nor full.
    contact.capacity.normal = rotation_by(0.17 * Vec3::UnitX()) * direction;
    contact.capacity.mu = 0.6;
    contact.capacity.bounds.push_back({contact.capacity.normal, is_hand(contact.limb) ? 400.0 : 1400.0});
    contact.points = {{contact.p_WC, contact.f_C_W}};
    contact.capacity_use = find_capacity_use(contact.capacity, contact.f_C_W);
    contact.slip_margin = find_slip_margin(contact.capacity, contact.f_C_W);
    contact.slip_off = find_slip_off(contact.capacity, contact.f_C_W, contact.lip_W);
    contact.mu_used = find_mu_used(contact.capacity, contact.f_C_W);
    frame.effort = std::max(frame.effort, contact.capacity_use);
  }
  frame.joint_torques = {{"left forearm", 18.0, 70.0}, {"right upper arm", -22.0, 80.0}};
  frame.mu_needed_factor = 0.7;
  frame.clearance_m = 0.02;
  return frame;
}

inline move::PlacedHold make_stick_hold(const std::string& name, const Vec3& p_W, const wall::Strip& strip) {
  move::PlacedHold hold;
  hold.name = name;
  hold.model = "plain edge 20";
  hold.strip = 1;
  hold.hold.shape.width_m = 0.12;
  hold.hold.shape.height_m = 0.05;
  hold.hold.shape.protrusion_m = 0.03;
  hold.X_WH = {strip.X_WP.R, p_W};
  hold.hold.sites.push_back({});
  return hold;
}

struct StickCase {
  move::Scene scene;
  body::Body body;
  std::vector<move::MoveResult> results;
};

/// One move that holds and one that falls short by 34 mm.
inline StickCase make_stick_case() {
  StickCase made;
  made.body = make_stick_body();
  made.scene.name = "attic, first set";
  made.scene.wall = make_stick_wall();
  made.scene.climber.measures.name = "Mika";
  made.scene.climber.measures.stature_m = 1.75;
  made.scene.climber.fingers.edge_force_N = 420.0;

  move::MoveResult result;
  result.name = "ledge to slot";
  result.verdict = move::Verdict::kStatic;
  result.frames = {make_stick_frame(made.body, move::Phase::kBefore, 0.0, 0.0),
                   make_stick_frame(made.body, move::Phase::kUnloaded, 0.3, 0.4),
                   make_stick_frame(made.body, move::Phase::kTouch, 0.7, 0.9),
                   make_stick_frame(made.body, move::Phase::kSettled, 1.0, 1.0)};
  for (const move::Frame& frame : result.frames) result.effort_peak = std::max(result.effort_peak, frame.effort);
  result.lower_hand = Limb::kLeftHand;
  const wall::Strip& panel = made.scene.wall.strips[1];
  for (const move::ContactResult& contact : result.frames.back().contacts)
    made.scene.holds.push_back(make_stick_hold(contact.hold, contact.p_WC, panel));
  move::Move move;
  move.name = result.name;
  move.moving = Limb::kRightHand;
  move.target.hold = 1;
  made.scene.moves.push_back(move);
  made.results.push_back(result);

  move::MoveResult shorter = result;
  shorter.name = "slot to far ledge";
  shorter.verdict = move::Verdict::kNotStatic;
  shorter.cause = move::Cause::kReach;
  shorter.cause_text = "short by 234 mm: right hand to 'far ledge'";
  shorter.deciding_phase = move::Phase::kTouch;
  shorter.deciding_limb = Limb::kRightHand;
  shorter.shortfall.reach_mm = 234.0;
  shorter.frames.pop_back();
  shorter.frames.back().is_held = false;
  shorter.frames.back().has_posture = false;
  shorter.frames.back().mu_needed_factor = std::numeric_limits<double>::infinity();
  made.scene.holds.push_back(
      make_stick_hold("far ledge", shorter.frames.back().contacts[1].p_WC + 0.234 * panel.X_WP.R.col(1), panel));
  move.name = shorter.name;
  move.target.hold = 4;
  made.scene.moves.push_back(move);
  made.results.push_back(shorter);
  return made;
}

}  // namespace steepwright::tests
