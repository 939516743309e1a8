#pragma once

/// Conversion at the border. Inside the engine everything is SI; files, screens and records use mm and degrees.

#include <numbers>

namespace steepwright {

inline constexpr double kPi = std::numbers::pi;

[[nodiscard]] constexpr double rad_from_deg(double angle_deg) { return angle_deg * (kPi / 180.0); }
[[nodiscard]] constexpr double deg_from_rad(double angle) { return angle * (180.0 / kPi); }
[[nodiscard]] constexpr double m_from_mm(double length_mm) { return length_mm * 1e-3; }
[[nodiscard]] constexpr double mm_from_m(double length) { return length * 1e3; }

}  // namespace steepwright
