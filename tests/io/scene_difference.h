#pragma once

/// Compares scenes value by value, to the last bit, and names the first difference.

#include "engine/move/scene.h"

#include <fmt/format.h>

#include <string>

namespace steepwright::tests {

class SceneComparison {
 public:
  /// "" when the scenes are equal, else the first difference.
  [[nodiscard]] static std::string find_difference(const move::Scene& a, const move::Scene& b) {
    SceneComparison comparison;
    comparison.compare_scenes(a, b);
    return comparison.difference_;
  }

 private:
  template <typename T>
  void check(const std::string& what, const T& a, const T& b) {
    if (difference_.empty() && !(a == b)) difference_ = what + " differs";
  }
  void check(const std::string& what, double a, double b) {
    if (difference_.empty() && !(a == b)) difference_ = fmt::format("{}: {:.17g} and {:.17g}", what, a, b);
  }

  void compare_scenes(const move::Scene& a, const move::Scene& b) {
    check("name", a.name, b.name);
    compare_walls(a.wall, b.wall);
    compare_climbers(a.climber, b.climber);
    check("number of holds", a.holds.size(), b.holds.size());
    check("number of moves", a.moves.size(), b.moves.size());
    for (std::size_t i = 0; i < a.holds.size() && difference_.empty(); ++i) compare_holds(a.holds[i], b.holds[i]);
    for (std::size_t i = 0; i < a.moves.size() && difference_.empty(); ++i) compare_moves(a.moves[i], b.moves[i]);
  }

  void compare_walls(const wall::Wall& a, const wall::Wall& b) {
    check("wall name", a.name, b.name);
    check("room", a.room.has_value(), b.room.has_value());
    if (a.room && b.room) {
      check("room lower corner", a.room->lower, b.room->lower);
      check("room upper corner", a.room->upper, b.room->upper);
    }
    check("number of sections", a.sections.size(), b.sections.size());
    check("number of strips", a.strips.size(), b.strips.size());
    if (!difference_.empty()) return;
    for (std::size_t i = 0; i < a.sections.size(); ++i) {
      check("section width", a.sections[i].width_m, b.sections[i].width_m);
      check("section strips", a.sections[i].strips, b.sections[i].strips);
    }
    for (std::size_t i = 0; i < a.strips.size(); ++i) compare_strips(a.strips[i], b.strips[i]);
  }

  void compare_strips(const wall::Strip& a, const wall::Strip& b) {
    check("strip name", a.name, b.name);
    check("angle", a.angle, b.angle);
    check("width", a.width_m, b.width_m);
    check("length", a.length_m, b.length_m);
    check("thickness", a.thickness_m, b.thickness_m);
    check("lattice", a.lattice.has_value(), b.lattice.has_value());
    check("joists", a.joists.has_value(), b.joists.has_value());
    if (!difference_.empty()) return;
    if (a.lattice) {
      check("pitch across", a.lattice->pitch_across_m, b.lattice->pitch_across_m);
      check("pitch up", a.lattice->pitch_up_m, b.lattice->pitch_up_m);
      check("first across", a.lattice->first_across_m, b.lattice->first_across_m);
      check("first up", a.lattice->first_up_m, b.lattice->first_up_m);
      check("stagger", a.lattice->stagger_m, b.lattice->stagger_m);
    }
    if (a.joists) {
      check("joist spacing", a.joists->spacing_m, b.joists->spacing_m);
      check("first joist", a.joists->first_m, b.joists->first_m);
      check("joist width", a.joists->width_m, b.joists->width_m);
    }
    check("strip place", a.X_WP.p, b.X_WP.p);
  }

  void compare_climbers(const move::Climber& a, const move::Climber& b) {
    const body::Measures& m = a.measures;
    const body::Measures& n = b.measures;
    check("climber name", m.name, n.name);
    check("sex", m.sex, n.sex);
    check("stature", m.stature_m, n.stature_m);
    check("mass", m.mass_kg, n.mass_kg);
    check("span", m.span_m, n.span_m);
    check("sitting height", m.sitting_height_m, n.sitting_height_m);
    check("inseam", m.inseam_m, n.inseam_m);
    check("hand length", m.hand_length_m, n.hand_length_m);
    check("foot length", m.foot_length_m, n.foot_length_m);
    check("flexibility", m.flexibility, n.flexibility);
    check("arm strength", m.arm_strength, n.arm_strength);
    check("core strength", m.core_strength, n.core_strength);
    check("leg strength", m.leg_strength, n.leg_strength);
    check("edge force", a.fingers.edge_force_N, b.fingers.edge_force_N);
    check("edge depth", a.fingers.edge_depth_m, b.fingers.edge_depth_m);
    check("edge grip", a.fingers.edge_grip, b.fingers.edge_grip);
    check("measured", a.fingers.is_measured, b.fingers.is_measured);
    check("middle finger", a.middle_finger_m, b.middle_finger_m);
    check("finger breadth", a.finger_breadth_m, b.finger_breadth_m);
    check("chalk", a.chalked, b.chalked);
  }

  void compare_holds(const move::PlacedHold& a, const move::PlacedHold& b) {
    check("hold name", a.name, b.name);
    check("model", a.model, b.model);
    check("strip of hold", a.strip, b.strip);
    check("across", a.across_m, b.across_m);
    check("up", a.up_m, b.up_m);
    check("rotation", a.rotation, b.rotation);
    check("on lattice", a.on_lattice, b.on_lattice);
    check("hold place", a.X_WH.p, b.X_WH.p);
    check("hold axes", a.X_WH.R, b.X_WH.R);
    check("hold width", a.hold.shape.width_m, b.hold.shape.width_m);
    check("number of sites", a.hold.sites.size(), b.hold.sites.size());
  }

  void compare_places(const std::string& what, const move::LimbPlace& a, const move::LimbPlace& b) {
    check(what + " hold", a.hold, b.hold);
    check(what + " site", a.site, b.site);
    check(what + " grip", a.grip, b.grip);
    check(what + " strip", a.strip, b.strip);
    check(what + " across", a.across_m, b.across_m);
    check(what + " up", a.up_m, b.up_m);
  }

  void compare_moves(const move::Move& a, const move::Move& b) {
    check("move name", a.name, b.name);
    check("moving limb", a.moving, b.moving);
    compare_places("target of " + a.name, a.target, b.target);
    for (const Limb limb : kLimbs) {
      const auto& left = a.before.limbs[index_of(limb)];
      const auto& right = b.before.limbs[index_of(limb)];
      check("free limb of " + a.name, left.has_value(), right.has_value());
      if (left && right) compare_places("place in " + a.name, *left, *right);
    }
  }

  std::string difference_;
};

}  // namespace steepwright::tests
