#pragma once

/// Picture of measured sites: each one's section true to scale, with what was fitted and the dimensions that follow.

#include "engine/hold/measure.h"
#include "engine/io/drawing.h"

#include <string>
#include <string_view>
#include <vector>

namespace steepwright::io {

/// One panel a site, two in a row. The wall is on the left, the side that the floor looks to is up.
[[nodiscard]] Drawing make_profile_picture(std::vector<hold::MeasuredSite> sites, std::string_view title);

}  // namespace steepwright::io
