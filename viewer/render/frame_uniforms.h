#pragma once

/// The uniform blocks of all shaders, laid out as std140; see prelude() in shader_common.cpp.

#include <glm/glm.hpp>

#include <array>
#include <cstddef>

namespace steepwright::viewer::render {

inline constexpr std::size_t kScaleSteps = 18;  ///< use_steps and the colour over the limit

struct FrameUniforms {
  glm::mat4 V{1.0F};
  glm::mat4 P{1.0F};
  glm::mat4 shadow{1.0F};    ///< W to the shadow map's texture, 0..1
  glm::vec4 eye{0.0F};       ///< xyz in W; w: 1 perspective, 0 parallel
  glm::vec4 forward{0.0F};   ///< xyz in W
  glm::vec4 viewport{1.0F};  ///< width, height, 1 / width, 1 / height
  glm::vec4 light{0.0F};     ///< xyz in W, towards the light; w: strength
  glm::vec4 sky{0.0F};       ///< linear light from above; w: strength of the lamp at the eye
  glm::vec4 ground{0.0F};    ///< linear light from below
  glm::vec4 switches{0.0F};  ///< shadows on, occlusion on, 1 / shadow map size, shadow texel in m
  glm::vec4 background_top{0.0F}, background_bottom{0.0F};
  glm::vec4 outline{0.0F};
  std::array<glm::vec4, kScaleSteps> scale{};  ///< linear
};

/// What differs from pass to pass.
struct PassUniforms {
  glm::mat4 VP{1.0F};
};

inline constexpr unsigned kFrameBinding = 0;
inline constexpr unsigned kPassBinding = 1;

// Texture units.
inline constexpr int kShadowUnit = 0;
inline constexpr int kOcclusionUnit = 1;
inline constexpr int kColorUnit = 2;
inline constexpr int kMaskUnit = 3;
inline constexpr int kDepthUnit = 4;
inline constexpr int kNormalUnit = 5;

}  // namespace steepwright::viewer::render
