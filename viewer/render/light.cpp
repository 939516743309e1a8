#include "viewer/render/light.h"

#include "viewer/render/targets.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace steepwright::viewer::render {

namespace {

// The key light stands behind the climber, to the left and only a little higher than the wall is steep: so panels are
// lit the less the more they overhang, and holds and body throw shadows on them (own choice, by eye).
const glm::vec3 kToKeyLight = glm::normalize(glm::vec3(-0.62F, -0.95F, 0.36F));
constexpr float kKeyStrength = 0.95F;
// Linear light from above and from below (bounced off floor and mats), and of the lamp at the eye.
constexpr glm::vec3 kSky{0.56F, 0.58F, 0.62F};
constexpr glm::vec3 kGround{0.24F, 0.22F, 0.20F};
constexpr float kEyeLamp = 0.16F;

float to_linear(float encoded) {
  return encoded <= 0.04045F ? encoded / 12.92F : std::pow((encoded + 0.055F) / 1.055F, 2.4F);
}
glm::vec4 to_linear(const Color& c) { return {to_linear(c.r), to_linear(c.g), to_linear(c.b), 1.0F}; }

}  // namespace

glm::mat3 find_light_rotation() {
  const glm::vec3 z = kToKeyLight;
  const glm::vec3 x = glm::normalize(glm::cross(glm::vec3(0.0F, 0.0F, 1.0F), z));
  return glm::transpose(glm::mat3(x, glm::cross(z, x), z));
}

LightView find_light_view(const Box& casters_L) {
  if (casters_L.lower.x > casters_L.upper.x) return {};
  constexpr double kMargin_m = 0.05;
  const glm::dvec3 lower = casters_L.lower - kMargin_m;
  const glm::dvec3 upper = casters_L.upper + kMargin_m;
  const glm::dvec3 size = upper - lower;
  // Near is where z is largest.
  glm::dmat4 P(1.0);
  P[0][0] = 2.0 / size.x;
  P[1][1] = 2.0 / size.y;
  P[2][2] = -2.0 / size.z;
  P[3] = {-(upper.x + lower.x) / size.x, -(upper.y + lower.y) / size.y, (upper.z + lower.z) / size.z, 1.0};
  LightView view;
  view.VP = glm::mat4(P) * glm::mat4(find_light_rotation());
  view.texel_m = static_cast<float>(std::max(size.x, size.y) / kShadowMapSize);
  return view;
}

FrameUniforms make_frame_uniforms(const Camera& camera, const Viewport& viewport, const RenderOptions& options,
                                  const LightView& light) {
  FrameUniforms frame;
  const glm::dmat4 P = find_projection_matrix(camera, viewport);
  frame.V = glm::mat4(find_view_matrix(camera));
  frame.P = glm::mat4(P);
  const glm::mat4 to_texture(glm::vec4(0.5F, 0.0F, 0.0F, 0.0F), glm::vec4(0.0F, 0.5F, 0.0F, 0.0F),
                             glm::vec4(0.0F, 0.0F, 0.5F, 0.0F), glm::vec4(0.5F, 0.5F, 0.5F, 1.0F));
  frame.shadow = to_texture * light.VP;
  const bool is_perspective = camera.projection == Camera::Projection::kPerspective;
  frame.eye = glm::vec4(glm::vec3(find_eye(camera)), is_perspective ? 1.0F : 0.0F);
  frame.forward = glm::vec4(glm::vec3(find_axes(camera).forward), 0.0F);
  frame.viewport =
      glm::vec4(glm::dvec4(viewport.width_px, viewport.height_px, 1.0 / viewport.width_px, 1.0 / viewport.height_px));
  frame.light = glm::vec4(kToKeyLight, kKeyStrength);
  frame.sky = glm::vec4(kSky, kEyeLamp);
  frame.ground = glm::vec4(kGround, 0.0F);
  const bool has_shadows = options.has_shadows && light.texel_m > 0.0F;
  frame.switches = glm::vec4(has_shadows ? 1.0F : 0.0F, options.has_ambient_occlusion ? 1.0F : 0.0F,
                             1.0F / static_cast<float>(kShadowMapSize), light.texel_m);
  frame.background_top = glm::vec4(options.background_top, 1.0F);
  frame.background_bottom = glm::vec4(options.background_bottom, 1.0F);
  frame.outline = options.theme == Theme::kDark ? glm::vec4(1.0F) : glm::vec4(0.05F, 0.05F, 0.06F, 1.0F);
  const auto steps = use_steps(options.theme);
  for (std::size_t i = 0; i < kUseSteps; ++i) frame.scale[i] = to_linear(steps[i]);
  frame.scale[kUseSteps] = to_linear(over_limit_color(options.theme));
  return frame;
}

}  // namespace steepwright::viewer::render
