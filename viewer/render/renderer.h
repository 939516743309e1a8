#pragma once

/// Draws a RenderScene into its own framebuffer, off-screen or beside a window.

#include "engine/core/error.h"
#include "viewer/camera/camera.h"
#include "viewer/gl/context.h"
#include "viewer/picture/image.h"
#include "viewer/render/render_scene.h"
#include "viewer/render/use_scale.h"

#include <memory>
#include <optional>

namespace steepwright::viewer::render {

struct RenderOptions {
  int width_px = 960, height_px = 640;  ///< cut to 1 .. ContextInfo::most_size_px
  int samples = 4;                      ///< for smooth edges; 1: none. More than the driver has is as many as it has.
  bool has_shadows = true;
  bool has_ambient_occlusion = true;
  bool has_texture = true;  ///< grain and grit. Without shadows and occlusion too, a much shorter shader draws:
                            ///< for software renderers
  Theme theme = Theme::kDark;
  Color background_top{0.16F, 0.18F, 0.21F}, background_bottom{0.09F, 0.10F, 0.12F};
};

/// The usual options of a theme: background to match the rest of the window.
[[nodiscard]] RenderOptions make_render_options(Theme theme, int width_px, int height_px);

/// True for renderers that draw on the processor (llvmpipe, softpipe, SwiftShader): there, plain pictures keep up with
/// the hand.
[[nodiscard]] bool is_software(const gl::ContextInfo& info);
/// One sample, no shadows, occlusion or texture.
void set_plain(RenderOptions& options);

struct DrawCounts {
  long triangles = 0;  ///< of the main pass
  int draw_calls = 0;  ///< of all passes
  int meshes_on_gpu = 0;
};

struct PickResult {
  PickId id;
  std::optional<glm::dvec3> p_W;  ///< the visible point; none where nothing is drawn
};

class Renderer {
 public:
  /// Compiles the shaders. The context must be current, stay alive and be current in every later call and when the
  /// renderer is destroyed.
  [[nodiscard]] static Result<std::unique_ptr<Renderer>> make(gl::GlContext& context);
  ~Renderer();
  Renderer(const Renderer&) = delete;
  Renderer& operator=(const Renderer&) = delete;

  /// Draws one frame. Allocates nothing once buffers have grown to the scene's size. Leaves framebuffer 0, no program,
  /// no vertex array bound; depth test, culling and blending off. Viewport and other state may differ.
  void draw(const RenderScene& scene, const Camera& camera, const RenderOptions& options);

  /// The last frame: RGBA8, colours encoded (not an sRGB format), bottom row first as GL has it: show it in ImGui with
  /// uv (0, 1) to (1, 0).
  [[nodiscard]] unsigned int texture() const;

  /// The last frame's pixels, into `image` (its memory is reused).
  void read_pixels(Image& image) const;

  /// What is seen of the scene drawn last at a pixel (from the upper left corner) of a view as large as `options`
  /// says. Looks up to `reach_px` around for a hold, limb or arrow when the pixel itself shows only a panel or nothing.
  [[nodiscard]] PickResult pick(const Camera& camera, const RenderOptions& options, int x_px, int y_px,
                                int reach_px = 0);

  [[nodiscard]] const DrawCounts& counts() const;
  /// See is_software(info).
  [[nodiscard]] bool is_software() const;

 private:
  class Impl;
  explicit Renderer(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

}  // namespace steepwright::viewer::render
