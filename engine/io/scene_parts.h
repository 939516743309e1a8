#pragma once

/// The parts of a scene file, read from tables whose form has been checked. Internal to the scene reader.

#include "engine/io/hold_file.h"
#include "engine/io/toml_reader.h"
#include "engine/move/scene.h"

#include <string>
#include <vector>

namespace steepwright::io {

/// Wall of the [wall] table, with what check_wall says about it.
[[nodiscard]] wall::Wall read_wall(const Entry& entry, Findings& findings);

/// The [[hold]] tables; entries with an unknown strip or shape are reported and keep strip -1 or an empty shape.
[[nodiscard]] std::vector<move::PlacedHold> read_holds(const std::vector<Entry>& entries, const wall::Wall& wall,
                                                       const Inventory& inventory, Findings& findings);

/// The [[move]] tables. Precondition: `scene` has its wall and holds; holds with empty sites take no reference.
[[nodiscard]] std::vector<move::Move> read_moves(const std::vector<Entry>& entries, const move::Scene& scene,
                                                 Findings& findings);

/// Same hold and site, or the same spot of the same strip.
[[nodiscard]] bool is_same_spot(const move::LimbPlace& a, const move::LimbPlace& b);

}  // namespace steepwright::io
