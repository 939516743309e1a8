#pragma once

/// All shader programs, compiled once.

#include "viewer/gl/objects.h"

#include <string>

namespace steepwright::viewer::render {

/// One pass over every kind of solid thing.
struct ThingPrograms {
  gl::Program mesh, limb, arrow;
};

struct Programs {
  ThingPrograms lit, lit_plain, depth, normal, mask, pick;
  gl::Program disc, line, band;
  gl::Program background, plain_background, occlusion, occlusion_blur, final_picture, outline;
  GLint band_lift = -1;  ///< uniform of `band`
};

[[nodiscard]] Result<Programs> make_programs();

}  // namespace steepwright::viewer::render
