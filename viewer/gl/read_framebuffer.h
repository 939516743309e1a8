#pragma once

/// Pixels back from the GPU.

#include "viewer/picture/image.h"

namespace steepwright::viewer::gl {

/// The colours of a framebuffer, 0: the window's; the image's memory is reused. Leaves framebuffer 0 bound for reading.
void read_framebuffer(unsigned int framebuffer, int width_px, int height_px, Image& image);

}  // namespace steepwright::viewer::gl
