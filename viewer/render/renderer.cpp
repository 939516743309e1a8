#include "viewer/render/renderer.h"

#include "viewer/gl/read_framebuffer.h"
#include "viewer/render/light.h"
#include "viewer/render/picker.h"
#include "viewer/render/programs.h"
#include "viewer/render/targets.h"
#include "viewer/render/thing_drawer.h"

#include <algorithm>
#include <array>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>

namespace steepwright::viewer::render {

class Renderer::Impl {
 public:
  Impl(gl::GlContext& context, Programs programs)
      : context_(context),
        is_software_(render::is_software(context.info())),
        programs_(std::move(programs)),
        frame_block_(GL_UNIFORM_BUFFER),
        pass_block_(GL_UNIFORM_BUFFER),
        shadow_(make_shadow_target()),
        pick_target_(make_pick_target()),
        screen_array_(gl::VertexArray::make()) {}

  void draw(const RenderScene& scene, const Camera& camera, const RenderOptions& options) {
    resize(options);
    const Viewport viewport{static_cast<double>(targets_.width_px), static_cast<double>(targets_.height_px)};
    const bool is_plain = is_plain_look(options);
    things_.load(scene, glm::vec3(find_eye(camera)), is_plain);
    const LightView light =
        options.has_shadows ? find_light_view(things_.find_casters_box(find_light_rotation())) : LightView{};
    begin_frame(make_frame_uniforms(camera, viewport, options, light));
    things_.reset_counts();
    context_.check_errors("upload of the scene");

    if (options.has_shadows && light.texel_m > 0.0F) draw_shadow_map(light);
    const glm::mat4 VP(find_projection_matrix(camera, viewport) * find_view_matrix(camera));
    set_view(VP);
    if (options.has_ambient_occlusion) draw_occlusion();
    const long triangles_before = things_.n_triangles();
    draw_scene(scene, is_plain);
    counts_.triangles = things_.n_triangles() - triangles_before;
    if (!is_plain) draw_final();
    if (things_.has(Things::kOutlined)) draw_outline(VP);
    counts_.draw_calls = things_.n_calls();
    things_.drop_unused_meshes();
    counts_.meshes_on_gpu = things_.meshes().count();
    end_frame();
  }

  [[nodiscard]] unsigned int texture() const { return targets_.final_picture.texture.name(); }

  void read_pixels(Image& image) const {
    gl::read_framebuffer(targets_.final_picture.framebuffer.name(), targets_.width_px, targets_.height_px, image);
    context_.check_errors("reading of the picture");
  }

  PickResult pick(const Camera& camera, const RenderOptions& options, int x_px, int y_px, int reach_px) {
    const PickPlace place{x_px, y_px, std::clamp(reach_px, 0, kMostPickReach_px),
                          Viewport{static_cast<double>(std::max(options.width_px, 1)),
                                   static_cast<double>(std::max(options.height_px, 1))}};
    const glm::dmat4 VP = find_pick_matrix(place, camera);
    begin_frame(make_frame_uniforms(camera, place.viewport, options, {}));
    set_view(glm::mat4(VP));
    const int n_px = 2 * place.reach_px + 1;
    glBindFramebuffer(GL_FRAMEBUFFER, pick_target_.framebuffer.name());
    glViewport(0, 0, n_px, n_px);
    clear_ids_and_depth();
    begin_solid();
    things_.draw(programs_.pick, Things::kSolid);
    things_.draw(programs_.pick, Things::kTranslucent);
    read_picture_of_ids(n_px, pick_pixels_);
    end_frame();
    context_.check_errors("pick pass");
    return find_picked(pick_pixels_, place, VP);
  }

  [[nodiscard]] const DrawCounts& counts() const { return counts_; }
  [[nodiscard]] bool is_software() const { return is_software_; }

 private:
  void resize(const RenderOptions& options) {
    const int most_px = std::max(context_.info().most_size_px, 1);
    const int width_px = std::clamp(options.width_px, 1, most_px);
    const int height_px = std::clamp(options.height_px, 1, most_px);
    const int samples = std::clamp(options.samples, 1, std::max(context_.info().most_samples, 1));
    if (targets_.width_px == width_px && targets_.height_px == height_px && asked_samples_ == samples) return;
    asked_samples_ = samples;
    targets_ = {};  // the old ones first: large pictures may not fit beside each other
    targets_ = make_sized_targets(width_px, height_px, samples);
    // A driver may refuse that many samples at that size.
    if (samples > 1 && !is_complete(targets_)) targets_ = make_sized_targets(width_px, height_px, 1);
    if (!is_complete(targets_)) context_.report("the driver has no framebuffer for a picture of this size");
    context_.check_errors("making of the framebuffers");
  }

  void begin_frame(const FrameUniforms& frame) {
    frame_block_.fill_bytes(&frame, sizeof(frame));
    glBindBufferBase(GL_UNIFORM_BUFFER, kFrameBinding, frame_block_.name());
    glDisable(GL_SCISSOR_TEST);
    glDisable(GL_STENCIL_TEST);
    glEnable(GL_MULTISAMPLE);
    glColorMask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
    glPolygonMode(GL_FRONT_AND_BACK, GL_FILL);
  }

  void set_view(const glm::mat4& VP) {
    const PassUniforms pass{VP};
    pass_block_.fill_bytes(&pass, sizeof(pass));
    glBindBufferBase(GL_UNIFORM_BUFFER, kPassBinding, pass_block_.name());
  }

  static void begin_solid() {
    glDisable(GL_BLEND);
    glEnable(GL_DEPTH_TEST);
    glDepthFunc(GL_LEQUAL);
    glDepthMask(GL_TRUE);
    glEnable(GL_CULL_FACE);
    glCullFace(GL_BACK);
  }

  static void begin_blended() {
    glEnable(GL_BLEND);
    glBlendFuncSeparate(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA, GL_ONE, GL_ONE_MINUS_SRC_ALPHA);
    glEnable(GL_DEPTH_TEST);
    glDepthMask(GL_FALSE);
    glDisable(GL_CULL_FACE);
  }

  void begin_screen(const TextureTarget& target) const {
    glBindFramebuffer(GL_FRAMEBUFFER, target.framebuffer.name());
    glViewport(0, 0, targets_.width_px, targets_.height_px);
    glDisable(GL_BLEND);
    glDisable(GL_DEPTH_TEST);
    glDisable(GL_CULL_FACE);
  }

  void draw_screen(const gl::Program& program) const {
    glUseProgram(program.name());
    glBindVertexArray(screen_array_.name());
    glDrawArrays(GL_TRIANGLES, 0, 3);
  }

  static void bind_texture(int unit, const gl::Texture& texture) {
    glActiveTexture(GL_TEXTURE0 + static_cast<GLenum>(unit));
    glBindTexture(GL_TEXTURE_2D, texture.name());
  }

  void draw_shadow_map(const LightView& light) {
    set_view(light.VP);
    glBindFramebuffer(GL_FRAMEBUFFER, shadow_.framebuffer.name());
    glViewport(0, 0, kShadowMapSize, kShadowMapSize);
    begin_solid();
    glClear(GL_DEPTH_BUFFER_BIT);
    // Pushed back along the light, the more the more slanted the face: no face shades itself.
    glEnable(GL_POLYGON_OFFSET_FILL);
    glPolygonOffset(1.5F, 2.0F);
    things_.draw(programs_.depth, Things::kCasting);
    glDisable(GL_POLYGON_OFFSET_FILL);
    context_.check_errors("shadow pass");
  }

  void draw_occlusion() {
    glBindFramebuffer(GL_FRAMEBUFFER, targets_.normals.framebuffer.name());
    glViewport(0, 0, targets_.width_px, targets_.height_px);
    begin_solid();
    glClearColor(0.5F, 0.5F, 1.0F, 1.0F);
    glClear(GL_COLOR_BUFFER_BIT | GL_DEPTH_BUFFER_BIT);
    things_.draw(programs_.normal, Things::kSolid);
    bind_texture(kDepthUnit, targets_.depth);
    bind_texture(kNormalUnit, targets_.normals.texture);
    begin_screen(targets_.occlusion);
    draw_screen(programs_.occlusion);
    bind_texture(kOcclusionUnit, targets_.occlusion.texture);
    begin_screen(targets_.occlusion_blurred);
    draw_screen(programs_.occlusion_blur);
    context_.check_errors("occlusion pass");
  }

  static bool is_plain_look(const RenderOptions& options) {
    return !options.has_shadows && !options.has_ambient_occlusion && !options.has_texture;
  }

  void draw_scene(const RenderScene& scene, bool is_plain) {
    const ThingPrograms& lit = is_plain ? programs_.lit_plain : programs_.lit;
    bind_texture(kShadowUnit, shadow_.texture);
    bind_texture(kOcclusionUnit, targets_.occlusion_blurred.texture);
    glBindFramebuffer(GL_FRAMEBUFFER, targets_.scene.name());
    glViewport(0, 0, targets_.width_px, targets_.height_px);
    glEnable(GL_FRAMEBUFFER_SRGB);
    glDepthMask(GL_TRUE);
    glClear(GL_DEPTH_BUFFER_BIT);
    begin_solid();
    things_.draw(lit, Things::kSolid);
    // On the far plane: where nothing else is.
    draw_screen(is_plain ? programs_.plain_background : programs_.background);
    context_.check_errors("solid pass");

    begin_blended();
    things_.draw_discs(programs_.disc);
    things_.draw_bands(scene, programs_);
    if (things_.has(Things::kTranslucent)) draw_translucent(lit);
    begin_blended();
    things_.draw_lines(programs_.line);
    context_.check_errors("blended pass");

    // A plain picture is done, byte for byte; the other goes on in linear colours.
    const bool is_drawn_in_place = targets_.encoded_view.name() != 0;
    if (is_plain) glDisable(GL_FRAMEBUFFER_SRGB);
    if (!is_plain || !is_drawn_in_place) resolve_to(is_plain ? targets_.final_picture : targets_.resolved);
    glDisable(GL_FRAMEBUFFER_SRGB);
  }

  void resolve_to(const TextureTarget& target) {
    glBindFramebuffer(GL_READ_FRAMEBUFFER, targets_.scene.name());
    glBindFramebuffer(GL_DRAW_FRAMEBUFFER, target.framebuffer.name());
    glBlitFramebuffer(0, 0, targets_.width_px, targets_.height_px, 0, 0, targets_.width_px, targets_.height_px,
                      GL_COLOR_BUFFER_BIT, GL_NEAREST);
    context_.check_errors("resolve");
  }

  /// Each body as one veil: first its nearest faces into the depth, then only those in colour.
  void draw_translucent(const ThingPrograms& lit) {
    begin_solid();
    glColorMask(GL_FALSE, GL_FALSE, GL_FALSE, GL_FALSE);
    things_.draw(lit, Things::kTranslucent);
    glColorMask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
    glEnable(GL_BLEND);
    glBlendFuncSeparate(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA, GL_ONE, GL_ONE_MINUS_SRC_ALPHA);
    glDepthMask(GL_FALSE);
    things_.draw(lit, Things::kTranslucent);
  }

  void draw_final() {
    bind_texture(kColorUnit, targets_.resolved.texture);
    begin_screen(targets_.final_picture);
    draw_screen(programs_.final_picture);
    context_.check_errors("final pass");
  }

  /// Only where the outlined things are: the shader looks at many places about every pixel.
  void draw_outline(const glm::mat4& VP) {
    const ViewRect rect = things_.find_outlined_rect(VP);
    constexpr int kMargin_px = 4;
    const glm::vec2 size_px(targets_.width_px, targets_.height_px);
    const glm::ivec2 lower = glm::ivec2((0.5F * rect.lower + 0.5F) * size_px) - kMargin_px;
    const glm::ivec2 upper = glm::ivec2((0.5F * rect.upper + 0.5F) * size_px) + kMargin_px;
    glEnable(GL_SCISSOR_TEST);
    glScissor(lower.x, lower.y, std::max(upper.x - lower.x, 0), std::max(upper.y - lower.y, 0));
    begin_screen(targets_.mask);
    glClearColor(0.0F, 0.0F, 0.0F, 0.0F);
    glClear(GL_COLOR_BUFFER_BIT);
    things_.draw(programs_.mask, Things::kOutlined);
    bind_texture(kMaskUnit, targets_.mask.texture);
    begin_screen(targets_.final_picture);
    glEnable(GL_BLEND);
    glBlendFuncSeparate(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA, GL_ZERO, GL_ONE);
    draw_screen(programs_.outline);
    glDisable(GL_SCISSOR_TEST);
    context_.check_errors("outline pass");
  }

  static void clear_ids_and_depth() {
    constexpr GLuint kNothing = 0;
    constexpr GLfloat kFar = 1.0F;
    glDepthMask(GL_TRUE);
    glClearBufferuiv(GL_COLOR, 0, &kNothing);
    glClearBufferfv(GL_DEPTH, 0, &kFar);
  }

  static void read_picture_of_ids(int n_px, PickPixels& pixels) {
    glPixelStorei(GL_PACK_ALIGNMENT, 4);
    glReadPixels(0, 0, n_px, n_px, GL_RED_INTEGER, GL_UNSIGNED_INT, pixels.ids.data());
    glReadPixels(0, 0, n_px, n_px, GL_DEPTH_COMPONENT, GL_FLOAT, pixels.depths.data());
  }

  static void end_frame() {
    glActiveTexture(GL_TEXTURE0);
    glBindTexture(GL_TEXTURE_2D, 0);
    glBindFramebuffer(GL_FRAMEBUFFER, 0);
    glUseProgram(0);
    glBindVertexArray(0);
    glDisable(GL_BLEND);
    glDisable(GL_DEPTH_TEST);
    glDisable(GL_CULL_FACE);
    glDepthMask(GL_TRUE);
  }

  gl::GlContext& context_;
  bool is_software_;
  Programs programs_;
  ThingDrawer things_;
  StreamBuffer frame_block_, pass_block_;
  SizedTargets targets_;
  int asked_samples_ = 0;
  TextureTarget shadow_;
  PickTarget pick_target_;
  PickPixels pick_pixels_;
  gl::VertexArray screen_array_;
  DrawCounts counts_;
};

Renderer::Renderer(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
Renderer::~Renderer() = default;

Result<std::unique_ptr<Renderer>> Renderer::make(gl::GlContext& context) {
  Result<Programs> programs = make_programs();
  if (!programs) return tl::unexpected(programs.error());
  auto impl = std::make_unique<Impl>(context, std::move(*programs));
  context.check_errors("start of the renderer");
  return std::unique_ptr<Renderer>(new Renderer(std::move(impl)));
}

void Renderer::draw(const RenderScene& scene, const Camera& camera, const RenderOptions& options) {
  impl_->draw(scene, camera, options);
}

unsigned int Renderer::texture() const { return impl_->texture(); }

void Renderer::read_pixels(Image& image) const { impl_->read_pixels(image); }

PickResult Renderer::pick(const Camera& camera, const RenderOptions& options, int x_px, int y_px, int reach_px) {
  return impl_->pick(camera, options, x_px, y_px, reach_px);
}

const DrawCounts& Renderer::counts() const { return impl_->counts(); }

bool Renderer::is_software() const { return impl_->is_software(); }

bool is_software(const gl::ContextInfo& info) {
  constexpr std::array<std::string_view, 3> kNames = {"llvmpipe", "softpipe", "SwiftShader"};
  return std::any_of(kNames.begin(), kNames.end(),
                     [&](std::string_view name) { return info.renderer.find(name) != std::string::npos; });
}

void set_plain(RenderOptions& options) {
  options.samples = 1;
  options.has_shadows = false;
  options.has_ambient_occlusion = false;
  options.has_texture = false;
}

RenderOptions make_render_options(Theme theme, int width_px, int height_px) {
  RenderOptions options;
  options.width_px = width_px;
  options.height_px = height_px;
  options.theme = theme;
  if (theme == Theme::kLight) {
    options.background_top = {0.93F, 0.94F, 0.95F};
    options.background_bottom = {0.80F, 0.82F, 0.84F};
  }
  return options;
}

}  // namespace steepwright::viewer::render
