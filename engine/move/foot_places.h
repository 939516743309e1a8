#pragma once

/// Step of find_feet: the places that a foot can have for a move, and the pairs worth a solve. Private to the part.

#include "engine/body/body.h"
#include "engine/move/scene.h"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace steepwright::move {

using FootPair = std::array<std::optional<LimbPlace>, 2>;  ///< left, right

/// All pairs within reach of the hands, those as given first.
[[nodiscard]] std::vector<FootPair> find_foot_pairs(const Scene& scene, const body::Body& body, const Move& move);

/// "left foot on 'kick left', right foot hangs free"
[[nodiscard]] std::string describe_feet(const Scene& scene, const FootPair& feet);

}  // namespace steepwright::move
