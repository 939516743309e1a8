#pragma once

/// One world of the risk: how it differs from the one that was computed. Private to risk.cpp.

#include "engine/core/bounded_vector.h"
#include "engine/move/result.h"
#include "engine/move/risk.h"

#include <array>
#include <cstdint>
#include <vector>

namespace steepwright::move {

/// Places that the limbs of one move touch; each has its own error.
inline constexpr std::size_t kMaxRiskPlaces = 12;

/// Parts of the body whose masses vary on their own.
enum class BuildPart { kTrunk, kArms, kLegs };
inline constexpr int kBuildParts = 3;
[[nodiscard]] BuildPart find_build_part(const body::Body& body, int segment);

struct RiskDraw {
  double skin = 1.0, rubber = 1.0;  ///< factors on mu of hands and feet
  double fingers = 1.0, joints = 1.0;
  std::array<double, kBuildParts> mass_share{};  ///< what is added to each part, as a share of it
  struct Place {
    std::array<double, 2> shift_m{};  ///< along the two tangents of the contact's normal (find_tangents)
    std::array<double, 2> tilt{};     ///< about them, rad
  };
  BoundedVector<Place, kMaxRiskPlaces> places;
};

/// The draw of this number: the same whatever else is drawn.
[[nodiscard]] RiskDraw make_risk_draw(const RiskOptions& options, std::size_t n_places, std::uint64_t number);

/// Index of the place of every contact of every frame; a limb at one point of W is one place.
[[nodiscard]] std::vector<std::vector<int>> find_risk_places(const MoveResult& result, std::size_t& n_places);

}  // namespace steepwright::move
