#include "engine/io/quantities.h"

#include "engine/core/units.h"

#include <fmt/format.h>

#include <cmath>

namespace steepwright::io {

std::string show_percent(double share) {
  if (!std::isfinite(share)) return "-";
  if (share >= 10.0) return "> 999 %";
  return fmt::format("{:.0f} %", 100.0 * share);
}

std::string show_degrees(double angle) { return fmt::format("{}\u00B0", std::lround(deg_from_rad(angle))); }

}  // namespace steepwright::io
