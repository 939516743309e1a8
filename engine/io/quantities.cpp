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

std::string show_slip_off(const SlipOff& slip_off, Limb limb) {
  const char* of_hand = slip_off.is_by_strength ? "fingers" : "skin";
  const char* of_foot = slip_off.is_by_strength ? "foothold" : "rubber";
  return show_degrees(slip_off.margin) + " " + (is_hand(limb) ? of_hand : of_foot);
}

}  // namespace steepwright::io
