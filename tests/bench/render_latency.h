#pragma once

/// From the last event of a drag to the picture that shows its answer.

#include "viewer/gl/context.h"
#include "viewer/render/renderer.h"

namespace steepwright::bench {

/// Drags the target of the example's first move to and fro in the whole application, drawn off-screen; prints a row for
/// the stance and one for the trace. False: something did not answer.
[[nodiscard]] bool print_latency(viewer::gl::GlContext& context, viewer::render::Renderer& renderer);

}  // namespace steepwright::bench
