#pragma once

/// Everything a person can do to a scene, as values. A command is turned into a patch of the present state; that patch
/// is what undo keeps.

#include "engine/core/error.h"
#include "engine/io/hold_file.h"
#include "viewer/document/scene_state.h"

#include <optional>
#include <string>
#include <variant>

namespace steepwright::viewer {

/// Puts the bolt at a place of a strip (m from its lower left corner).
struct MoveHold {
  int hold = 0;
  int strip = 0;
  double across_m = 0.0, up_m = 0.0;
  bool on_lattice = false;
};
/// Turns to an angle, rad, counter-clockwise seen by the climber.
struct RotateHold {
  int hold = 0;
  double rotation = 0.0;
};
/// Another shape of the inventory at the same bolt; limbs keep what the new shape allows.
struct SwapHold {
  int hold = 0;
  std::string model;
};
/// A new hold at the free place nearest to the one wanted.
struct AddHold {
  std::string model;
  int strip = 0;
  double across_m = 0.0, up_m = 0.0;
  bool on_lattice = true;  ///< look at T-nuts first
};
/// Takes the hold away, with the moves that use it.
struct DeleteHold {
  int hold = 0;
};
/// The same shape once more, at the free place nearest to its right.
struct DuplicateHold {
  int hold = 0;
};
/// To the other side of its strip's middle, turned the other way round.
struct MirrorHold {
  int hold = 0;
};
struct RenameHold {
  int hold = 0;
  std::string name;
};
/// Overhang from vertical, rad. Holds keep their place on the panel.
struct SetStripAngle {
  int strip = 0;
  double angle = 0.0;
};
/// Length up the slope, m: of a kicker its height.
struct SetStripLength {
  int strip = 0;
  double length_m = 0.0;
};
struct SetClimber {
  move::Climber climber;
};
/// The grip of one hand in one move: of the target when that hand moves, else of the stance before.
struct SetGrip {
  int move = 0;
  Limb limb = Limb::kLeftHand;
  bool is_target = false;
  Grip grip = Grip::kHalfCrimp;
};
/// A new move behind the others: from a stance, one limb to the best site of a hold.
struct DefineMove {
  move::Stance before;
  Limb limb = Limb::kLeftHand;
  int hold = 0;
};
struct DeleteMove {
  int move = 0;
};
struct RenameMove {
  int move = 0;
  std::string name;
};
/// From now on the holds come from this inventory, which has `shape` on top of what the old one has.
struct JoinShape {
  InventorySource source;
  std::string shape;
};

using Command =
    std::variant<MoveHold, RotateHold, SwapHold, AddHold, DeleteHold, DuplicateHold, MirrorHold, RenameHold,
                 SetStripAngle, SetStripLength, SetClimber, SetGrip, DefineMove, DeleteMove, RenameMove, JoinShape>;

/// The patch that does what the command says; none where nothing would change. Errors: what cannot be done and why,
/// e.g. no site for a hand. Whether the result can be built is checked by Document::apply.
[[nodiscard]] Result<std::optional<Patch>> make_patch(const SceneState& state, const Command& command);

}  // namespace steepwright::viewer
