#pragma once

/// Walls that several tests use.

#include "engine/core/units.h"
#include "engine/wall/wall.h"

#include <string>
#include <utility>
#include <vector>

namespace steepwright::wall::tests {

inline Strip strip(std::string name, double angle_deg, double width_m, double length_m) {
  Strip made;
  made.name = std::move(name);
  made.angle = rad_from_deg(angle_deg);
  made.width_m = width_m;
  made.length_m = length_m;
  return made;
}

/// One vertical panel, 3 m wide and 4 m high.
inline Wall vertical_wall() { return make_wall("vertical", {{strip("face", 0.0, 3.0, 4.0)}}, std::nullopt); }

/// Kicker, 35 deg panel, 80 deg roof.
inline std::vector<Strip> steep_stack(double width_m, const std::string& suffix = "") {
  return {strip("kicker" + suffix, 0.0, width_m, 0.3), strip("main" + suffix, 35.0, width_m, 2.4),
          strip("lid" + suffix, 80.0, width_m, 1.2)};
}
inline Wall steep_wall() { return make_wall("steep", {steep_stack(3.0)}, std::nullopt); }

/// Three sections: steep with roof; 10 deg panel; 45 deg with a -10 deg top-out (a convex break).
inline Wall mixed_wall(std::optional<Room> room = std::nullopt) {
  return make_wall("mixed",
                   {steep_stack(1.2, " left"),
                    {strip("kicker middle", 0.0, 1.0, 0.4), strip("wall middle", 10.0, 1.0, 2.6)},
                    {strip("panel right", 45.0, 1.4, 2.0), strip("top-out", -10.0, 1.4, 0.8)}},
                   room);
}

}  // namespace steepwright::wall::tests
