#pragma once

/// Shares and angles as tables and pictures write them.

#include "engine/core/limb.h"
#include "engine/core/slip_off.h"

#include <string>

namespace steepwright::io {

/// "77 %"; "-" where there is no such share (not finite), "> 999 %" beyond that.
[[nodiscard]] std::string show_percent(double share);

/// "12\u00B0" of an angle in rad; never "-0".
[[nodiscard]] std::string show_degrees(double angle);

/// "12\u00B0 fingers", "31\u00B0 skin": how near the limb is to coming off, and what ends it.
[[nodiscard]] std::string show_slip_off(const SlipOff& slip_off, Limb limb);

}  // namespace steepwright::io
