#pragma once

/// The geometry stage of the scene reader: what cannot be bolted like that.

#include "engine/core/error.h"
#include "engine/io/toml_reader.h"
#include "engine/move/scene.h"

#include <vector>

namespace steepwright::io {

/// Largest distance of a hold that claims a T-nut from the lattice point, m.
inline constexpr double kTeeNutTolerance_m = 0.002;

/// Holds off their panel, inside a neighbouring strip or the floor, on each other, off the T-nut they claim, over a
/// joist. Precondition: all references of `holds` are resolved; entries[i] is the table of holds[i].
void check_holds(const std::vector<Entry>& entries, const wall::Wall& wall, const std::vector<move::PlacedHold>& holds,
                 Findings& findings);

/// Depth by which two footprints (on one strip) overlap, m; 0 or less when they do not. Footprints are rectangles of
/// the shape's width and height about the bolt, circles for round slopers.
[[nodiscard]] double find_overlap(const move::PlacedHold& a, const move::PlacedHold& b);

}  // namespace steepwright::io
