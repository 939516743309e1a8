#pragma once

/// Scenes drawn at random, valid by construction: one hold to a cell, feet low, hands high.

#include "engine/core/random.h"
#include "engine/io/file_units.h"
#include "engine/io/hold_file.h"
#include "engine/io/text_file.h"
#include "engine/move/goals.h"
#include "engine/move/scene.h"

#include <fmt/format.h>

#include <string>

namespace steepwright::tests {

class RandomScene {
 public:
  explicit RandomScene(std::uint64_t seed) : draw_(seed) {
    inventory_ = io::parse_inventory(*io::embedded_file("models/holds/workshop.toml"), "workshop.toml")->inventory;
  }

  [[nodiscard]] move::Scene make() {
    scene_.name = "drawn \"scene\" \\ äöü";
    add_wall();
    add_holds();
    add_climber();
    for (int i = 0; i < 4; ++i) add_move(i);
    move::place_holds(scene_);
    return scene_;
  }

 private:
  /// A length as a file may state it, with up to nine digits behind the point.
  double length(double lower_mm, double upper_mm) {
    return io::length_from_mm(round_some(draw_.uniform(lower_mm, upper_mm)));
  }
  double round_some(double value) {
    const double unit = std::pow(10.0, static_cast<double>(draw_.next() % 10));
    return std::round(value * unit) / unit;
  }
  bool toss() { return draw_.next() % 2 == 0; }
  std::size_t pick(std::size_t count) { return draw_.next() % count; }

  void add_wall() {
    const double width_m = length(2300, 3000);
    wall::Strip kicker;
    kicker.name = "kicker";
    kicker.width_m = width_m;
    kicker.length_m = length(300, 500);
    wall::Strip panel = kicker;
    panel.name = "panel, main";
    panel.angle = rad_from_deg(round_some(draw_.uniform(5.0, 55.0)));
    panel.length_m = length(2600, 3200);
    panel.thickness_m = length(15, 24);
    if (toss())
      panel.lattice = wall::Lattice{length(150, 250), length(150, 250), length(50, 150), length(50, 150), 0.0};
    std::optional<wall::Room> room;
    if (toss()) {
      const double left_m = length(0, 500);
      const double back_m = length(300, 500);
      room = wall::Room{Vec3(-left_m, back_m - length(5000, 7000), 0.0),
                        Vec3(length(4000, 5000) - left_m, back_m, length(3800, 4200))};
    }
    scene_.wall = wall::make_wall("wall #1", {{kicker, panel}}, room);
  }

  const hold::Shape& shape(bool for_hands) {
    for (;;) {
      const hold::Shape& candidate = inventory_.shapes[pick(inventory_.shapes.size())];
      const bool is_chip = candidate.family == hold::Family::kFootChip;
      if (is_chip != for_hands && candidate.width_m < 0.25 && candidate.height_m < 0.25) return candidate;
    }
  }

  /// Cells of 500 mm: no shape taken is larger than 250 mm, turned it spans at most 354 mm.
  void add_holds() {
    for (int row = 0; row < 4; ++row) {
      for (int column = 0; column < 4; ++column) {
        const bool for_hands = row >= 2;
        move::PlacedHold hold;
        hold.name = fmt::format("hold {} of row {}", column, row);
        hold.hold = hold::make_hold(shape(for_hands));
        hold.model = hold.hold.shape.name;
        hold.strip = 1;
        hold.across_m = length(300 + 500 * column, 340 + 500 * column);
        hold.up_m = length(400 + 500 * row, 440 + 500 * row);
        hold.rotation = rad_from_deg(round_some(draw_.uniform(-180.0, 180.0)));
        scene_.holds.push_back(std::move(hold));
      }
    }
  }

  void add_climber() {
    body::Measures& measures = scene_.climber.measures;
    measures.name = "drawn";
    measures.sex = toss() ? body::Sex::kFemale : body::Sex::kMale;
    measures.stature_m = length(1550, 1900);
    measures.mass_kg = round_some(draw_.uniform(50.0, 85.0));
    if (toss()) measures.span_m = measures.stature_m;
    if (toss()) measures.hand_length_m = length(175, 195);
    measures.flexibility = static_cast<body::Flexibility>(pick(3));
    measures.arm_strength = round_some(draw_.uniform(0.8, 2.0));
    scene_.climber.chalked = toss();
    const double level = grip::default_edge_force(static_cast<grip::Ability>(pick(4)), measures.mass_kg);
    const bool is_measured = toss();
    grip::FingerStrength& fingers = scene_.climber.fingers;
    fingers.edge_force_N = toss() ? level : round_some(draw_.uniform(200.0, 900.0));
    fingers.is_measured = is_measured;
    if (toss()) fingers.edge_depth_m = length(6, 45);
    if (toss()) fingers.edge_grip = toss() ? Grip::kOpenHand : Grip::kFullCrimp;
    if (toss()) scene_.climber.middle_finger_m = length(72, 85);
    if (toss()) scene_.climber.finger_breadth_m = length(14, 19);
  }

  move::LimbPlace place(Limb limb) {
    move::LimbPlace place;
    if (!is_hand(limb) && pick(5) == 0) {
      place.strip = 0;
      place.across_m = length(100, 2000);
      place.up_m = length(50, 250);
      return place;
    }
    for (;;) {
      place.hold = static_cast<int>(pick(8)) + (is_hand(limb) ? 8 : 0);
      const auto& sites = scene_.holds[static_cast<std::size_t>(place.hold)].hold.sites;
      place.site = static_cast<int>(pick(sites.size()));
      const hold::Site& site = sites[static_cast<std::size_t>(place.site)];
      if (!is_hand(limb)) return place;
      if (site.use == hold::Site::Use::kFoot || site.grips.empty()) continue;
      place.grip = site.grips[pick(site.grips.size())];
      return place;
    }
  }

  void add_move(int index) {
    move::Move move;
    move.name = fmt::format("move {}", index);
    move.moving = kLimbs[pick(4)];
    if (index > 0 && toss()) {
      const move::Move& earlier = scene_.moves.back();
      move.before = earlier.before;
      move.before.limbs[index_of(earlier.moving)] = earlier.target;
    } else {
      for (const Limb limb : kLimbs) {
        if (pick(6) > 0) move.before.limbs[index_of(limb)] = place(limb);
      }
    }
    // Somebody has to hold on.
    for (const Limb limb : kLimbs) {
      auto& held = move.before.limbs[index_of(limb)];
      if (limb != move.moving && !held) held = place(limb);
    }
    do {
      move.target = place(move.moving);
    } while (move.before.limbs[index_of(move.moving)] &&
             move.before.limbs[index_of(move.moving)]->hold == move.target.hold);
    scene_.moves.push_back(std::move(move));
  }

  RandomStream draw_;
  io::Inventory inventory_;
  move::Scene scene_;
};

}  // namespace steepwright::tests
