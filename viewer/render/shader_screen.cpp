/// Passes over the whole picture.

#include "viewer/render/shader_sources.h"

namespace steepwright::viewer::render::shaders {

std::string screen_vertex() {
  // One triangle that covers the view, on the far plane.
  return prelude() + R"(
void main() {
  vec2 corner = vec2(float((gl_VertexID << 1) & 2), float(gl_VertexID & 2));
  gl_Position = vec4(2.0 * corner - 1.0, 1.0, 1.0);
}
)";
}

std::string background_fragment() {
  return prelude() + R"(
out vec4 o_color;
void main() {
  float up = gl_FragCoord.y * u_viewport.w;
  o_color = vec4(to_linear(mix(u_background_bottom.rgb, u_background_top.rgb, up)), 1.0);
}
)";
}

std::string plain_background_vertex() {
  return prelude() + R"(
out vec3 color;
void main() {
  vec2 corner = vec2(float((gl_VertexID << 1) & 2), float(gl_VertexID & 2));
  color = mix(to_linear(u_background_bottom.rgb), to_linear(u_background_top.rgb), corner.y);
  gl_Position = vec4(2.0 * corner - 1.0, 1.0, 1.0);
}
)";
}

std::string plain_background_fragment() {
  return prelude() + R"(
in vec3 color;
out vec4 o_color;
void main() { o_color = vec4(color, 1.0); }
)";
}

std::string occlusion_fragment() {
  return prelude() + R"(
uniform sampler2D u_depth_map;
uniform sampler2D u_normal_map;
out vec4 o_open;

// The projection undone; its only terms are these.
vec3 find_in_view(vec2 place, float depth) {
  vec3 p = 2.0 * vec3(place, depth) - 1.0;
  if (u_eye.w > 0.5) {
    float z = -u_P[3][2] / (p.z + u_P[2][2]);
    return vec3(-z * p.xy / vec2(u_P[0][0], u_P[1][1]), z);
  }
  return vec3(p.xy / vec2(u_P[0][0], u_P[1][1]), (p.z - u_P[3][2]) / u_P[2][2]);
}

// Places on a spiral about the pixel: golden-angle turns, distance growing with the square, so more of them near.
const int kSamples = 12;
const vec2 kSpiral[kSamples] = vec2[kSamples](
      vec2(0.00174, 0.00000), vec2(-0.01152, 0.01055), vec2(0.00379, -0.04324),
      vec2(0.05176, 0.06751), vec2(-0.13848, -0.02449), vec2(0.17725, -0.11275),
      vec2(-0.07616, 0.28334), vec2(-0.18005, -0.34666), vec2(0.47130, 0.17210),
      vec2(-0.57931, 0.23915), vec2(0.32448, -0.69346), vec2(0.27489, 0.87630));

// Share of directions about the normal that nothing near blocks. The spiral is turned by one of 16 angles, which the
// blur over 4 x 4 pixels evens out.
void main() {
  const float kRadius_m = 0.45;
  const float kLeastAngle = 0.06;
  ivec2 pixel = ivec2(gl_FragCoord.xy);
  float depth = texelFetch(u_depth_map, pixel, 0).r;
  if (depth >= 1.0) {
    o_open = vec4(1.0);
    return;
  }
  vec2 place = gl_FragCoord.xy * u_viewport.zw;
  vec3 p = find_in_view(place, depth);
  vec3 n = normalize(texelFetch(u_normal_map, pixel, 0).xyz * 2.0 - 1.0);
  float w = u_eye.w > 0.5 ? -p.z : 1.0;
  vec2 reach = 0.5 * kRadius_m * vec2(u_P[0][0], u_P[1][1]) / w;
  int tile = (pixel.x & 3) * 4 + (pixel.y & 3);
  float turn = 6.2832 * float((tile * 7) & 15) / 16.0;
  vec2 along = reach * cos(turn);
  vec2 across = reach * sin(turn);
  float blocked = 0.0;
  for (int i = 0; i < kSamples; ++i) {
    vec2 at = kSpiral[i];
    vec2 sample_place = place + vec2(along.x * at.x - across.x * at.y, across.y * at.x + along.y * at.y);
    float sample_depth = textureLod(u_depth_map, sample_place, 0.0).r;
    vec3 to_sample = find_in_view(sample_place, sample_depth) - p;
    float distance_m = length(to_sample);
    float rise = dot(n, to_sample) / max(distance_m, 1e-5);
    float nearness = clamp(1.0 - distance_m / kRadius_m, 0.0, 1.0);
    blocked += clamp((rise - kLeastAngle) / (1.0 - kLeastAngle), 0.0, 1.0) * nearness * (sample_depth < 1.0 ? 1.0 : 0.0);
  }
  float open = clamp(1.0 - 2.2 * blocked / float(kSamples), 0.0, 1.0);
  o_open = vec4(open, open, open, 1.0);
}
)";
}

std::string occlusion_blur_fragment() {
  return prelude() + R"(
uniform sampler2D u_depth_map;
uniform sampler2D u_occlusion_map;
out vec4 o_open;

float find_distance(float depth) {
  float z = 2.0 * depth - 1.0;
  return u_eye.w > 0.5 ? u_P[3][2] / (z + u_P[2][2]) : (u_P[3][2] - z) / u_P[2][2];
}

// Over 4 x 4 pixels, but not over the edge of a body.
void main() {
  ivec2 pixel = ivec2(gl_FragCoord.xy);
  float here = texelFetch(u_depth_map, pixel, 0).r;
  float here_m = find_distance(here);
  // Allowed step in distance, and what it is in depth: 2 depth = const / distance in perspective, linear in parallel.
  float allowed_m = 0.01 * abs(here_m) + 0.01;
  float depth_per_m = 0.5 * (u_eye.w > 0.5 ? -u_P[3][2] / (here_m * here_m) : -u_P[2][2]);
  float allowed = allowed_m * abs(depth_per_m);
  float sum = 0.0;
  float weights = 0.0;
  ivec2 last = ivec2(u_viewport.xy) - 1;
  for (int i = -2; i < 2; ++i) {
    for (int j = -2; j < 2; ++j) {
      ivec2 at = clamp(pixel + ivec2(i, j), ivec2(0), last);
      float weight = abs(texelFetch(u_depth_map, at, 0).r - here) < allowed ? 1.0 : 0.0;
      sum += weight * texelFetch(u_occlusion_map, at, 0).r;
      weights += weight;
    }
  }
  float open = weights > 0.0 ? sum / weights : texelFetch(u_occlusion_map, pixel, 0).r;
  o_open = vec4(open, open, open, 1.0);
}
)";
}

std::string final_fragment() {
  return prelude() + R"(
uniform sampler2D u_color_map;
out vec4 o_color;

void main() {
  vec3 shown = to_srgb(texelFetch(u_color_map, ivec2(gl_FragCoord.xy), 0).rgb);
  // Half a step of even noise breaks the bands of a slow gradient.
  float even = fract(52.9829189 * fract(dot(floor(gl_FragCoord.xy), vec2(0.06711056, 0.00583715))));
  o_color = vec4(shown + (even - 0.5) / 255.0, 1.0);
}
)";
}

std::string outline_fragment() {
  return prelude() + R"(
uniform sampler2D u_mask_map;
out vec4 o_color;

// How much of a small ring about the pixel lies in the mask, where the pixel itself does not.
void main() {
  const int kTaps = 16;
  vec2 place = gl_FragCoord.xy * u_viewport.zw;
  float inside = texture(u_mask_map, place).r;
  float around = 0.0;
  for (int i = 0; i < kTaps; ++i) {
    float angle = 6.2832 * float(i) / float(kTaps);
    float radius = (i & 1) == 0 ? 2.2 : 1.2;
    around = max(around, texture(u_mask_map, place + radius * vec2(cos(angle), sin(angle)) * u_viewport.zw).r);
  }
  o_color = vec4(u_outline.rgb, around * (1.0 - inside));
}
)";
}

}  // namespace steepwright::viewer::render::shaders
