#pragma once

/// The framebuffers that a frame passes through.

#include "viewer/gl/objects.h"

namespace steepwright::viewer::render {

/// A texture to draw into.
struct TextureTarget {
  gl::Framebuffer framebuffer;
  gl::Texture texture;
};

struct SizedTargets {
  int width_px = 0, height_px = 0, samples = 0;

  gl::Framebuffer scene;  ///< multisampled colour and depth
  gl::Renderbuffer scene_color, scene_depth;
  gl::Texture encoded_view;     ///< instead of scene_color: the memory of final_picture, in sRGB format
  TextureTarget resolved;       ///< the same with one sample, sRGB format
  TextureTarget final_picture;  ///< RGBA8
  TextureTarget normals;        ///< for the occlusion pass, with `depth`
  gl::Texture depth;
  TextureTarget occlusion, occlusion_blurred;
  TextureTarget mask;
};

/// Targets of that size; `samples` as the driver allows. Where it cannot make them, is_complete says no.
[[nodiscard]] SizedTargets make_sized_targets(int width_px, int height_px, int samples);

[[nodiscard]] bool is_complete(const SizedTargets& targets);

inline constexpr int kShadowMapSize = 2048;
/// Depth texture that compares, for soft shadows.
[[nodiscard]] TextureTarget make_shadow_target();

inline constexpr int kMostPickReach_px = 24;
inline constexpr int kPickSize = 2 * kMostPickReach_px + 1;
struct PickTarget {
  gl::Framebuffer framebuffer;
  gl::Renderbuffer ids, depth;
};
[[nodiscard]] PickTarget make_pick_target();

}  // namespace steepwright::viewer::render
