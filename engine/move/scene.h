#pragma once

/// The scene as the engine sees it: wall, placed holds, climber, moves. SI; references resolved to indices.

#include "engine/body/measures.h"
#include "engine/core/limb.h"
#include "engine/grip/capacity.h"
#include "engine/hold/hold.h"
#include "engine/wall/wall.h"

#include <optional>
#include <string>
#include <vector>

namespace steepwright::move {

/// A hold bolted to a strip.
struct PlacedHold {
  std::string name;   ///< unique in the scene
  std::string model;  ///< name in the inventory
  int strip = 0;
  double across_m = 0.0, up_m = 0.0;
  double rotation = 0.0;  ///< rad, counter-clockwise seen by the climber
  bool on_lattice = false;
  hold::Hold hold;
  Pose X_WH;  ///< filled by place_holds
};

/// Where a limb is: a site of a placed hold, or the bare wall (a smear, feet only).
struct LimbPlace {
  int hold = -1;             ///< index into Scene::holds; -1: smear
  int site = 0;              ///< index into the hold's sites
  std::optional<Grip> grip;  ///< hands
  int strip = -1;            ///< smear: where on which strip
  double across_m = 0.0, up_m = 0.0;

  friend bool operator==(const LimbPlace&, const LimbPlace&) = default;
};

/// Who holds what; an empty limb hangs free.
struct Stance {
  std::optional<LimbPlace> limbs[4];  ///< by index_of(Limb)

  friend bool operator==(const Stance&, const Stance&) = default;
};

struct Move {
  std::string name;
  Stance before;
  Limb moving = Limb::kLeftHand;
  LimbPlace target;
};

struct Climber {
  body::Measures measures;
  grip::FingerStrength fingers;
  double middle_finger_m = 0.0;   ///< measured, 0: from the hand's length
  double finger_breadth_m = 0.0;  ///< measured, 0: from the hand's length
  bool chalked = true;
};

struct Scene {
  std::string name;
  wall::Wall wall;
  std::vector<PlacedHold> holds;
  Climber climber;
  std::vector<Move> moves;
};

}  // namespace steepwright::move
