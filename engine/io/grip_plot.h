#pragma once

/// The polar plot of a survey: force of each grip over the pull's direction.

#include "engine/grip/survey.h"
#include "engine/io/canvas.h"

namespace steepwright::io {

/// From the site's plane (y along the floor into the wall, z its normal) to the plane of the picture: x into the wall
/// square to the panel, y away from it along the panel on the floor's side.
[[nodiscard]] Vec2 view_from_site(const Vec2& yz, double incut);

/// Draws title, rings, rays, curves and names into the rectangle.
void draw_grip_plot(Canvas& canvas, const grip::Survey& survey, const Vec2& corner, const Vec2& size);

}  // namespace steepwright::io
