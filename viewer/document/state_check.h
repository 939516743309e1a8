#pragma once

/// Whether a state is one that a scene file can hold, so that it can always be saved and read again.

#include "engine/core/error.h"
#include "viewer/document/scene_state.h"

namespace steepwright::viewer {

/// All that the scene reader would say of the state but for its inventory, without touching a file. Places are left
/// empty: a state has no lines.
[[nodiscard]] Findings check_state(const SceneState& state);

}  // namespace steepwright::viewer
