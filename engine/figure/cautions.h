#pragma once

/// What every screen, picture and record tells the person beside the numbers.

#include <array>
#include <string_view>

namespace steepwright::figure {

inline constexpr std::array<std::string_view, 3> kCautions = {
    "Model numbers are no safe load for fingers: warm up, and stop at pain.",
    "No maximal finger training for people who are still growing.",
    "Walls, bolts and mats follow local codes and licensed practice (EN 12572)."};

}  // namespace steepwright::figure
