#pragma once

/// The reference problems that engine and outside libraries are compared on: a tree of 17 segments and 40 degrees of
/// freedom, and four contacts on an overhanging wall. Lengths and mass fractions: de Leva 1996, men (read); split of
/// head and neck and the hinge limits: assumed for the comparison.

#include "engine/body/body.h"
#include "engine/core/random.h"
#include "engine/core/units.h"
#include "engine/posture/stance_problem.h"

#include <array>
#include <string>
#include <vector>

namespace steepwright::tests {

/// The definition is written in axes x forward, y up, z right; W has x right, y forward, z up.
[[nodiscard]] inline Vec3 from_reference_axes(double x, double y, double z) { return {z, x, y}; }

namespace reference_detail {

struct HingeRow {
  char axis;  ///< in reference axes
  double lower_deg, upper_deg;
};
struct SegmentRow {
  std::string name;
  int parent;
  std::array<double, 3> joint;
  std::vector<HingeRow> hinges;
  double mass_percent;
  std::array<double, 3> com;
};

inline std::vector<SegmentRow> make_rows() {
  std::vector<SegmentRow> rows = {
      {"pelvis", -1, {0, 0, 0}, {}, 11.17, {0, .06, 0}},
      {"midtrunk", 0, {0, .12, 0}, {{'z', -45, 20}, {'x', -20, 20}}, 16.33, {0, .10, 0}},
      {"thorax", 1, {0, .20, 0}, {{'z', -30, 15}, {'x', -20, 20}, {'y', -35, 35}}, 15.96, {0, .13, 0}},
      {"neck", 2, {0, .26, 0}, {{'z', -40, 50}, {'x', -30, 30}}, 1.40, {0, .05, 0}},
      {"head", 3, {0, .10, 0}, {{'y', -70, 70}}, 5.54, {0, .10, 0}},
  };
  for (const double side : {1.0, -1.0}) {  // right, left
    const std::string name = side > 0 ? "right " : "left ";
    const int first = static_cast<int>(rows.size());
    const HingeRow abduction = side > 0 ? HingeRow{'x', -110, 40} : HingeRow{'x', -40, 110};
    rows.push_back({name + "upper arm",
                    2,
                    {0, .20, side * .19},
                    {{'z', -60, 180}, abduction, {'y', -80, 80}},
                    2.71,
                    {0, -.15, 0}});
    rows.push_back({name + "forearm", first, {0, -.31, 0}, {{'z', 0, 150}, {'y', -85, 85}}, 1.62, {0, -.115, 0}});
    rows.push_back({name + "hand", first + 1, {0, -.26, 0}, {{'z', -70, 70}, {'x', -25, 25}}, 0.61, {0, -.07, 0}});
  }
  for (const double side : {1.0, -1.0}) {
    const std::string name = side > 0 ? "right " : "left ";
    const int first = static_cast<int>(rows.size());
    const HingeRow abduction = side > 0 ? HingeRow{'x', -60, 25} : HingeRow{'x', -25, 60};
    rows.push_back(
        {name + "thigh", 0, {0, 0, side * .09}, {{'z', -25, 125}, abduction, {'y', -50, 50}}, 14.16, {0, -.18, 0}});
    rows.push_back({name + "shank", first, {0, -.43, 0}, {{'z', -145, 0}}, 4.33, {0, -.19, 0}});
    rows.push_back({name + "foot", first + 1, {0, -.43, 0}, {{'z', -45, 25}, {'x', -25, 25}}, 1.37, {.05, -.04, 0}});
  }
  return rows;
}

}  // namespace reference_detail

/// The reference tree, 70 kg.
[[nodiscard]] inline body::Tree make_reference_tree() {
  body::Tree tree;
  for (const auto& row : reference_detail::make_rows()) {
    body::Segment segment;
    segment.name = row.name;
    segment.parent = row.parent;
    segment.p_PB = from_reference_axes(row.joint[0], row.joint[1], row.joint[2]);
    segment.p_Bcm = from_reference_axes(row.com[0], row.com[1], row.com[2]);
    segment.mass_kg = 0.70 * row.mass_percent;
    segment.first_hinge = tree.n_hinges();
    segment.n_hinges = static_cast<int>(row.hinges.size());
    for (const auto& h : row.hinges) {
      body::Hinge hinge;
      hinge.name = row.name + " " + h.axis;
      hinge.segment = tree.n_segments();
      hinge.axis = h.axis == 'z' ? body::Axis::kX : h.axis == 'x' ? body::Axis::kY : body::Axis::kZ;
      hinge.lower = rad_from_deg(h.lower_deg);
      hinge.upper = rad_from_deg(h.upper_deg);
      tree.hinges.push_back(hinge);
    }
    tree.mass_kg += segment.mass_kg;
    tree.segments.push_back(segment);
  }
  return tree;
}

/// A body with the reference tree and nothing else: no coupled limits, capsules or strengths.
[[nodiscard]] inline body::Body make_reference_body() {
  body::Body body;
  body.tree = make_reference_tree();
  return body;
}

/// Contact points of the reference tree in the order left hand, right hand, left foot, right foot.
struct ReferenceContact {
  int segment;
  Vec3 p_BC;
};
[[nodiscard]] inline std::array<ReferenceContact, 4> reference_contacts(const body::Tree& tree) {
  const Vec3 hand = from_reference_axes(0, -.10, 0);
  const Vec3 foot = from_reference_axes(.15, -.06, 0);
  return {{{tree.find_segment("left hand"), hand},
           {tree.find_segment("right hand"), hand},
           {tree.find_segment("left foot"), foot},
           {tree.find_segment("right foot"), foot}}};
}

/// A point (z along the wall, h up-slope, off outward) of the wall that overhangs by theta, in W.
[[nodiscard]] inline Vec3 reference_wall_point(double theta, double z, double h, double off) {
  const Vec3 up = from_reference_axes(-std::sin(theta), std::cos(theta), 0);
  const Vec3 out = from_reference_axes(-std::cos(theta), -std::sin(theta), 0);
  return h * up + off * out + from_reference_axes(0, 0, z);
}

/// Four contact targets on a 15 degree wall, each shifted by up to `range` along z and h (0.15: K4, 0.40: K4H).
[[nodiscard]] inline std::array<Vec3, 4> draw_reference_targets(RandomStream& random, double range,
                                                                double theta = rad_from_deg(15.0)) {
  constexpr std::array<std::array<double, 2>, 4> kPlaces = {{{-.30, 1.90}, {.25, 2.05}, {-.25, .50}, {.30, .75}}};
  std::array<Vec3, 4> targets;
  for (std::size_t i = 0; i < 4; ++i) {
    const double z = kPlaces[i][0] + random.symmetric(range);
    const double h = kPlaces[i][1] + random.symmetric(range);
    targets[i] = reference_wall_point(theta, z, h, 0.0);
  }
  return targets;
}

/// The stated start: pelvis at (0, 1.05, .38), shoulders 140, elbows 40, hips 60 and 20 apart, knees bent by 80
/// degrees.
[[nodiscard]] inline body::Posture make_reference_start(const body::Tree& tree, double theta = rad_from_deg(15.0)) {
  body::Posture posture;
  posture.angles.setZero(tree.n_hinges());
  posture.p_WB = reference_wall_point(theta, 0.0, 1.05, .38);
  const auto set = [&](const std::string& name, double angle_deg) {
    posture.angles[tree.find_hinge(name)] = rad_from_deg(angle_deg);
  };
  for (const std::string side : {"right ", "left "}) {
    set(side + "upper arm z", 140.0);
    set(side + "forearm z", 40.0);
    set(side + "thigh z", 60.0);
    set(side + "thigh x", side == "right " ? -20.0 : 20.0);
    set(side + "shank z", -80.0);
  }
  return posture;
}

/// The contact problem of four targets on the reference body (no clearance, no directions).
[[nodiscard]] inline posture::StanceProblem make_reference_problem(const body::Body& body,
                                                                   const std::array<Vec3, 4>& targets) {
  posture::StanceProblem problem;
  problem.body = &body;
  const auto contacts = reference_contacts(body.tree);
  for (std::size_t i = 0; i < 4; ++i) {
    posture::LimbGoal goal;
    goal.limb = kLimbs[i];
    goal.segment = contacts[i].segment;
    goal.p_BC = contacts[i].p_BC;
    goal.p_WC = targets[i];
    goal.points = {targets[i]};
    problem.limbs.push_back(goal);
  }
  return problem;
}

}  // namespace steepwright::tests
