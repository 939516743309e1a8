#pragma once

/// Lengths and angles between the files (mm, degrees) and the engine (SI), to the last bit in both directions.

#include "engine/core/units.h"
#include "engine/io/text.h"

#include <string>

namespace steepwright::io {

/// A length of a file, m. Divides, because the quotient is the double nearest to the decimal number: 18 mm is the same
/// 0.018 as in source code, which 18 * 1e-3 is not.
[[nodiscard]] constexpr double length_from_mm(double length_mm) { return length_mm / 1000.0; }

/// Shortest decimal that length_from_mm turns into this length.
[[nodiscard]] inline std::string to_mm_text(double length) {
  return to_decimal_where(length * 1000.0, [&](double value) { return length_from_mm(value) == length; });
}

/// Shortest decimal that rad_from_deg turns into this angle.
[[nodiscard]] inline std::string to_deg_text(double angle) {
  return to_decimal_where(deg_from_rad(angle), [&](double value) { return rad_from_deg(value) == angle; });
}

}  // namespace steepwright::io
