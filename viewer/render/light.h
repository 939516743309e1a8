#pragma once

/// The lamps of the room, and the uniforms of a frame.

#include "viewer/camera/camera.h"
#include "viewer/render/frame_uniforms.h"
#include "viewer/render/renderer.h"

namespace steepwright::viewer::render {

/// Turns W so that z points to the key light.
[[nodiscard]] glm::mat3 find_light_rotation();

/// The shadow map's projection: parallel, around a box given in the light's axes. An empty box gives the identity.
struct LightView {
  glm::mat4 VP{1.0F};
  float texel_m = 0.0F;
};
[[nodiscard]] LightView find_light_view(const Box& casters_L);

[[nodiscard]] FrameUniforms make_frame_uniforms(const Camera& camera, const Viewport& viewport,
                                                const RenderOptions& options, const LightView& light);

}  // namespace steepwright::viewer::render
