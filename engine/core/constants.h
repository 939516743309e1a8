#pragma once

namespace steepwright {

/// Standard acceleration of gravity, m/s^2, along -z of W (ISO 80000-3, conventional value).
inline constexpr double kGravity = 9.80665;

}  // namespace steepwright
