#pragma once

/// The border of what is held, from the places of a lattice, and how far places are from it.

#include "engine/study/reach_map.h"

#include <array>
#include <vector>

namespace steepwright::study {

/// The border within one cell of `size_m` whose lower left corner is at (across_m, up_m); corners counter-clockwise
/// from there. It crosses an edge in its middle.
void add_border(int strip, double across_m, double up_m, double size_m, const std::array<bool, 4>& is_held,
                std::vector<BorderSegment>& border);

/// Fills margin_m of all places: distance to the border on their strip, negative where not held; infinite where a strip
/// has no border.
void measure_margins(const std::vector<BorderSegment>& border, std::vector<ReachPlace>& places);

}  // namespace steepwright::study
