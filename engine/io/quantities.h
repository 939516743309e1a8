#pragma once

/// Shares and angles as tables and pictures write them.

#include <string>

namespace steepwright::io {

/// "77 %"; "-" where there is no such share (not finite), "> 999 %" beyond that.
[[nodiscard]] std::string show_percent(double share);

/// "12\u00B0" of an angle in rad; never "-0".
[[nodiscard]] std::string show_degrees(double angle);

}  // namespace steepwright::io
