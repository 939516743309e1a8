#pragma once

/// The hole that a hold is bolted through.

#include "engine/hold/mesh.h"

#include <optional>

namespace steepwright::hold {

struct FoundHole {
  double x = 0.0, y = 0.0;  ///< axis, m
  double diameter_m = 0.0;
};

/// A round hole of 8 to 14 mm along z, seen in at least two sections parallel to the panel z = 0 at the same place.
[[nodiscard]] std::optional<FoundHole> find_bolt_hole(const Mesh& mesh);

}  // namespace steepwright::hold
