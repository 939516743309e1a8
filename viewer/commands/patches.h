#pragma once

/// One function a command; internal to make_patch. Preconditions: indices exist (make_patch has checked).

#include "viewer/commands/command.h"

namespace steepwright::viewer::patches {

using PatchResult = Result<std::optional<Patch>>;

/// What the functions read.
struct Context {
  const SceneState& state;
  const io::Inventory& inventory;
};

[[nodiscard]] PatchResult make(const Context& context, const MoveHold& command);
[[nodiscard]] PatchResult make(const Context& context, const RotateHold& command);
[[nodiscard]] PatchResult make(const Context& context, const SwapHold& command);
[[nodiscard]] PatchResult make(const Context& context, const AddHold& command);
[[nodiscard]] PatchResult make(const Context& context, const DeleteHold& command);
[[nodiscard]] PatchResult make(const Context& context, const DuplicateHold& command);
[[nodiscard]] PatchResult make(const Context& context, const MirrorHold& command);
[[nodiscard]] PatchResult make(const Context& context, const RenameHold& command);
[[nodiscard]] PatchResult make(const Context& context, const SetStripAngle& command);
[[nodiscard]] PatchResult make(const Context& context, const SetStripLength& command);
[[nodiscard]] PatchResult make(const Context& context, const SetClimber& command);
[[nodiscard]] PatchResult make(const Context& context, const SetGrip& command);
[[nodiscard]] PatchResult make(const Context& context, const DefineMove& command);
[[nodiscard]] PatchResult make(const Context& context, const DeleteMove& command);
[[nodiscard]] PatchResult make(const Context& context, const RenameMove& command);
[[nodiscard]] PatchResult make(const Context& context, const JoinShape& command);

}  // namespace steepwright::viewer::patches
