#pragma once

/// Benchmark tree T: 17 bodies, 40 degrees of freedom (free pelvis and 34 hinges), 70 kg. Mass fractions and limb
/// proportions after de Leva 1996 (male); the split of head and neck and the limits are assumed for the benchmark. Axes
/// are mapped to the engine's: forward y, up z, right x.

#include "engine/body/tree.h"
#include "engine/core/units.h"

#include <string>
#include <vector>

namespace steepwright::bench {

struct ReferenceHinge {
  body::Axis axis;
  double lower_deg, upper_deg;
};

/// Adds a body at the end; masses in % of 70 kg.
inline int add_reference_body(body::Tree& tree, const std::string& name, int parent, const Vec3& p_PB,
                              double mass_percent, const Vec3& p_Bcm, const std::vector<ReferenceHinge>& hinges) {
  body::Segment segment;
  segment.name = name;
  segment.parent = parent;
  segment.p_PB = p_PB;
  segment.first_hinge = tree.n_hinges();
  segment.n_hinges = static_cast<int>(hinges.size());
  segment.mass_kg = 0.70 * mass_percent;
  segment.p_Bcm = p_Bcm;
  const int index = tree.n_segments();
  for (const ReferenceHinge& hinge : hinges) {
    tree.hinges.push_back({name + " " + std::to_string(tree.n_hinges()), index, hinge.axis, 1.0,
                           rad_from_deg(hinge.lower_deg), rad_from_deg(hinge.upper_deg)});
  }
  tree.segments.push_back(segment);
  tree.mass_kg += segment.mass_kg;
  return index;
}

/// T, in the order trunk, right arm, left arm, right leg, left leg.
[[nodiscard]] inline body::Tree make_reference_tree() {
  using body::Axis;
  const Axis bend = Axis::kX;   // about the axis to the right
  const Axis tilt = Axis::kY;   // about the axis forward
  const Axis twist = Axis::kZ;  // about the axis up
  body::Tree tree;
  const int pelvis = add_reference_body(tree, "pelvis", -1, Vec3::Zero(), 11.17, Vec3(0, 0, 0.06), {});
  const int midtrunk = add_reference_body(tree, "midtrunk", pelvis, Vec3(0, 0, 0.12), 16.33, Vec3(0, 0, 0.10),
                                          {{bend, -45, 20}, {tilt, -20, 20}});
  const int thorax = add_reference_body(tree, "thorax", midtrunk, Vec3(0, 0, 0.20), 15.96, Vec3(0, 0, 0.13),
                                        {{bend, -30, 15}, {tilt, -20, 20}, {twist, -35, 35}});
  const int neck = add_reference_body(tree, "neck", thorax, Vec3(0, 0, 0.26), 1.40, Vec3(0, 0, 0.05),
                                      {{bend, -40, 50}, {tilt, -30, 30}});
  add_reference_body(tree, "head", neck, Vec3(0, 0, 0.10), 5.54, Vec3(0, 0, 0.10), {{twist, -70, 70}});
  for (const double side : {1.0, -1.0}) {
    const std::string name = side > 0 ? "right " : "left ";
    const double in = side > 0 ? 40 : 110;
    const double out = side > 0 ? -110 : -40;
    const int upper = add_reference_body(tree, name + "upper arm", thorax, Vec3(0.19 * side, 0, 0.20), 2.71,
                                         Vec3(0, 0, -0.15), {{bend, -60, 180}, {tilt, out, in}, {twist, -80, 80}});
    const int forearm = add_reference_body(tree, name + "forearm", upper, Vec3(0, 0, -0.31), 1.62, Vec3(0, 0, -0.115),
                                           {{bend, 0, 150}, {twist, -85, 85}});
    add_reference_body(tree, name + "hand", forearm, Vec3(0, 0, -0.26), 0.61, Vec3(0, 0, -0.07),
                       {{bend, -70, 70}, {tilt, -25, 25}});
  }
  for (const double side : {1.0, -1.0}) {
    const std::string name = side > 0 ? "right " : "left ";
    const double in = side > 0 ? 25 : 60;
    const double out = side > 0 ? -60 : -25;
    const int thigh = add_reference_body(tree, name + "thigh", pelvis, Vec3(0.09 * side, 0, 0), 14.16,
                                         Vec3(0, 0, -0.18), {{bend, -25, 125}, {tilt, out, in}, {twist, -50, 50}});
    const int shank =
        add_reference_body(tree, name + "shank", thigh, Vec3(0, 0, -0.43), 4.33, Vec3(0, 0, -0.19), {{bend, -145, 0}});
    add_reference_body(tree, name + "foot", shank, Vec3(0, 0, -0.43), 1.37, Vec3(0, 0.05, -0.04),
                       {{bend, -45, 25}, {tilt, -25, 25}});
  }
  return tree;
}

/// Contact of a hand or foot of T in its own frame.
[[nodiscard]] inline Vec3 find_reference_contact(bool is_hand) {
  return is_hand ? Vec3(0, 0, -0.10) : Vec3(0, 0.15, -0.06);
}

}  // namespace steepwright::bench
