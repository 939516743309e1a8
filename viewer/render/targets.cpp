#include "viewer/render/targets.h"

#include <array>

namespace steepwright::viewer::render {

namespace {

struct Format {
  GLint internal;
  GLenum format, type;
};
constexpr Format kEncodedColor = {GL_SRGB8_ALPHA8, GL_RGBA, GL_UNSIGNED_BYTE};
constexpr Format kPlainColor = {GL_RGBA8, GL_RGBA, GL_UNSIGNED_BYTE};
constexpr Format kOneByte = {GL_R8, GL_RED, GL_UNSIGNED_BYTE};
constexpr Format kDepth = {GL_DEPTH_COMPONENT24, GL_DEPTH_COMPONENT, GL_UNSIGNED_INT};

// Of the bound texture, which is let go.
void set_sampling(GLint filter) {
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, filter);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, filter);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_S, GL_CLAMP_TO_EDGE);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_T, GL_CLAMP_TO_EDGE);
  glBindTexture(GL_TEXTURE_2D, 0);
}

gl::Texture make_texture(const Format& format, int width_px, int height_px, GLint filter) {
  gl::Texture texture = gl::Texture::make();
  glBindTexture(GL_TEXTURE_2D, texture.name());
  glTexImage2D(GL_TEXTURE_2D, 0, format.internal, width_px, height_px, 0, format.format, format.type, nullptr);
  set_sampling(filter);
  return texture;
}

void attach_color(const gl::Framebuffer& framebuffer, const gl::Texture& texture) {
  glBindFramebuffer(GL_FRAMEBUFFER, framebuffer.name());
  glFramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, texture.name(), 0);
  glBindFramebuffer(GL_FRAMEBUFFER, 0);
}

TextureTarget make_target(const Format& format, int width_px, int height_px, GLint filter) {
  TextureTarget target{gl::Framebuffer::make(), make_texture(format, width_px, height_px, filter)};
  attach_color(target.framebuffer, target.texture);
  return target;
}

gl::Renderbuffer make_renderbuffer(GLenum format, int width_px, int height_px, int samples) {
  gl::Renderbuffer buffer = gl::Renderbuffer::make();
  glBindRenderbuffer(GL_RENDERBUFFER, buffer.name());
  glRenderbufferStorageMultisample(GL_RENDERBUFFER, samples, format, width_px, height_px);
  glBindRenderbuffer(GL_RENDERBUFFER, 0);
  return buffer;
}

// The scene is drawn with colours encoded by GL, the finished picture is read as it is: one memory with two faces,
// where the driver has that and no samples are to be mixed.
bool can_share_color(int samples) { return samples <= 1 && epoxy_has_gl_extension("GL_ARB_texture_view"); }

TextureTarget make_viewed_target(const Format& format, int width_px, int height_px, GLint filter) {
  TextureTarget target{gl::Framebuffer::make(), gl::Texture::make()};
  glBindTexture(GL_TEXTURE_2D, target.texture.name());
  glTexStorage2D(GL_TEXTURE_2D, 1, static_cast<GLenum>(format.internal), width_px, height_px);
  set_sampling(filter);
  attach_color(target.framebuffer, target.texture);
  return target;
}

gl::Texture make_encoded_view(const gl::Texture& texture) {
  gl::Texture view = gl::Texture::make();
  glTextureView(view.name(), GL_TEXTURE_2D, texture.name(), GL_SRGB8_ALPHA8, 0, 1, 0, 1);
  return view;
}

void attach(const gl::Framebuffer& framebuffer, const gl::Renderbuffer& color, const gl::Renderbuffer& depth) {
  glBindFramebuffer(GL_FRAMEBUFFER, framebuffer.name());
  glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_RENDERBUFFER, color.name());
  glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_DEPTH_ATTACHMENT, GL_RENDERBUFFER, depth.name());
  glBindFramebuffer(GL_FRAMEBUFFER, 0);
}

}  // namespace

SizedTargets make_sized_targets(int width_px, int height_px, int samples) {
  SizedTargets t;
  t.width_px = width_px;
  t.height_px = height_px;
  t.samples = samples;
  const int stored_samples = samples > 1 ? samples : 0;
  t.scene = gl::Framebuffer::make();
  t.scene_depth = make_renderbuffer(GL_DEPTH_COMPONENT24, width_px, height_px, stored_samples);
  if (can_share_color(samples)) {
    t.final_picture = make_viewed_target(kPlainColor, width_px, height_px, GL_LINEAR);
    t.encoded_view = make_encoded_view(t.final_picture.texture);
    attach(t.scene, {}, t.scene_depth);
    attach_color(t.scene, t.encoded_view);
  } else {
    t.final_picture = make_target(kPlainColor, width_px, height_px, GL_LINEAR);
    t.scene_color = make_renderbuffer(GL_SRGB8_ALPHA8, width_px, height_px, stored_samples);
    attach(t.scene, t.scene_color, t.scene_depth);
  }
  t.resolved = make_target(kEncodedColor, width_px, height_px, GL_NEAREST);
  t.normals = make_target(kPlainColor, width_px, height_px, GL_NEAREST);
  t.depth = make_texture(kDepth, width_px, height_px, GL_NEAREST);
  glBindFramebuffer(GL_FRAMEBUFFER, t.normals.framebuffer.name());
  glFramebufferTexture2D(GL_FRAMEBUFFER, GL_DEPTH_ATTACHMENT, GL_TEXTURE_2D, t.depth.name(), 0);
  glBindFramebuffer(GL_FRAMEBUFFER, 0);
  t.occlusion = make_target(kOneByte, width_px, height_px, GL_NEAREST);
  t.occlusion_blurred = make_target(kOneByte, width_px, height_px, GL_NEAREST);
  t.mask = make_target(kOneByte, width_px, height_px, GL_LINEAR);
  return t;
}

bool is_complete(const SizedTargets& targets) {
  const auto is_whole = [](const gl::Framebuffer& framebuffer) {
    glBindFramebuffer(GL_FRAMEBUFFER, framebuffer.name());
    const GLenum status = glCheckFramebufferStatus(GL_FRAMEBUFFER);
    glBindFramebuffer(GL_FRAMEBUFFER, 0);
    return status == GL_FRAMEBUFFER_COMPLETE;
  };
  return is_whole(targets.scene) && is_whole(targets.resolved.framebuffer) &&
         is_whole(targets.final_picture.framebuffer) && is_whole(targets.normals.framebuffer) &&
         is_whole(targets.occlusion.framebuffer) && is_whole(targets.mask.framebuffer);
}

TextureTarget make_shadow_target() {
  TextureTarget target{gl::Framebuffer::make(), make_texture(kDepth, kShadowMapSize, kShadowMapSize, GL_LINEAR)};
  glBindTexture(GL_TEXTURE_2D, target.texture.name());
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_COMPARE_MODE, GL_COMPARE_REF_TO_TEXTURE);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_COMPARE_FUNC, GL_LEQUAL);
  // What lies outside the map is lit.
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_S, GL_CLAMP_TO_BORDER);
  glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_T, GL_CLAMP_TO_BORDER);
  constexpr std::array<float, 4> kFar = {1.0F, 1.0F, 1.0F, 1.0F};
  glTexParameterfv(GL_TEXTURE_2D, GL_TEXTURE_BORDER_COLOR, kFar.data());
  glBindTexture(GL_TEXTURE_2D, 0);
  glBindFramebuffer(GL_FRAMEBUFFER, target.framebuffer.name());
  glFramebufferTexture2D(GL_FRAMEBUFFER, GL_DEPTH_ATTACHMENT, GL_TEXTURE_2D, target.texture.name(), 0);
  glDrawBuffer(GL_NONE);
  glReadBuffer(GL_NONE);
  glBindFramebuffer(GL_FRAMEBUFFER, 0);
  return target;
}

PickTarget make_pick_target() {
  PickTarget target{gl::Framebuffer::make(), make_renderbuffer(GL_R32UI, kPickSize, kPickSize, 0),
                    make_renderbuffer(GL_DEPTH_COMPONENT24, kPickSize, kPickSize, 0)};
  attach(target.framebuffer, target.ids, target.depth);
  return target;
}

}  // namespace steepwright::viewer::render
