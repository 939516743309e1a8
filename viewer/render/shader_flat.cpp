/// Discs, lines and bands: what has no body.

#include "viewer/render/shader_sources.h"

namespace steepwright::viewer::render::shaders {

std::string disc_vertex() {
  return prelude() + R"(
layout(location = 0) in vec2 a_corner;  // -1..1
layout(location = 2) in vec4 a_p_radius;
layout(location = 3) in vec4 a_normal_rim;
layout(location = 4) in vec3 a_color;
layout(location = 5) in vec3 a_rim_color;
out vec2 corner;
out vec3 p_W;
flat out vec3 n_W;
flat out vec3 color;
flat out vec3 rim_color;
flat out float rim_share;

void main() {
  vec3 n = normalize(a_normal_rim.xyz);
  vec3 t1 = normalize(cross(n, abs(n.x) < 0.6 ? vec3(1.0, 0.0, 0.0) : vec3(0.0, 1.0, 0.0)));
  // The square is a little larger, for the smooth edge.
  corner = 1.3 * a_corner;
  p_W = a_p_radius.xyz + a_p_radius.w * (corner.x * t1 + corner.y * cross(n, t1));
  n_W = n;
  color = a_color;
  rim_color = a_rim_color;
  rim_share = a_normal_rim.w;
  gl_Position = u_VP * vec4(lift(p_W, 0.0004), 1.0);
}
)";
}

std::string disc_fragment() {
  return prelude() + R"(
in vec2 corner;
in vec3 p_W;
flat in vec3 n_W;
flat in vec3 color;
flat in vec3 rim_color;
flat in float rim_share;
out vec4 o_color;

void main() {
  if (dot(n_W, find_view_direction(p_W)) <= 0.0) discard;
  float r = length(corner);
  float width = max(fwidth(r), 1e-4);
  float cover = clamp((1.0 - r) / width + 0.5, 0.0, 1.0);
  float rim = clamp((r - (1.0 - rim_share)) / width + 0.5, 0.0, 1.0);
  vec3 light = mix(u_ground.rgb, u_sky.rgb, 0.5 + 0.5 * n_W.z) + max(dot(n_W, u_light.xyz), 0.0) * u_light.w;
  o_color = vec4(mix(to_linear(color), to_linear(rim_color), rim) * light, cover);
}
)";
}

std::string line_vertex() {
  return prelude() + R"(
layout(location = 0) in vec2 a_corner;  // 0 or 1 along, -1 or 1 across
layout(location = 2) in vec4 a_pA_width;
layout(location = 3) in vec4 a_pB_dash;
layout(location = 4) in vec4 a_color_opacity;
layout(location = 5) in vec3 a_uses_on_top;
noperspective out vec2 at_px;  // along from A, across
out float use;
flat out float length_px;
flat out float half_px;
flat out float dash_px;
flat out vec4 color;

void main() {
  vec4 A = u_VP * vec4(lift(a_pA_width.xyz, 0.0006), 1.0);
  vec4 B = u_VP * vec4(lift(a_pB_dash.xyz, 0.0006), 1.0);
  // Cut off what lies behind the eye.
  const float kLeastW = 1e-3;
  float cut_A = A.w < kLeastW && B.w > kLeastW ? (kLeastW - A.w) / (B.w - A.w) : 0.0;
  float cut_B = B.w < kLeastW && A.w > kLeastW ? (kLeastW - B.w) / (A.w - B.w) : 0.0;
  vec4 from = mix(A, B, cut_A);
  vec4 to = mix(B, A, cut_B);
  vec2 half_view = 0.5 * u_viewport.xy;
  vec2 from_px = from.xy / max(from.w, kLeastW) * half_view;
  vec2 to_px = to.xy / max(to.w, kLeastW) * half_view;
  vec2 along = to_px - from_px;
  length_px = length(along);
  along = length_px > 1e-4 ? along / length_px : vec2(1.0, 0.0);
  half_px = 0.5 * a_pA_width.w;
  float reach = half_px + 1.0;
  bool is_end = a_corner.x > 0.5;
  at_px = vec2(is_end ? length_px + reach : -reach, a_corner.y * reach);
  vec2 shift = (is_end ? reach : -reach) * along + at_px.y * vec2(-along.y, along.x);
  dash_px = a_pB_dash.w;
  color = a_color_opacity;
  use = is_end ? mix(a_uses_on_top.y, a_uses_on_top.x, cut_B) : mix(a_uses_on_top.x, a_uses_on_top.y, cut_A);
  vec4 place = is_end ? to : from;
  // The ends reach out in depth as well, else long lines on a steep face would sink into it.
  float depth_step = to.z / max(to.w, kLeastW) - from.z / max(from.w, kLeastW);
  float share = min(reach / max(length_px, 1e-4), 1.0);
  place.z += (is_end ? share : -share) * depth_step * place.w;
  place.xy += shift / half_view * place.w;
  if (a_uses_on_top.z > 0.5) place.z = -place.w * 0.99999;
  gl_Position = A.w < kLeastW && B.w < kLeastW ? vec4(2.0, 2.0, 2.0, 1.0) : place;
}
)";
}

std::string line_fragment() {
  return prelude() + R"(
noperspective in vec2 at_px;
in float use;
flat in float length_px;
flat in float half_px;
flat in float dash_px;
flat in vec4 color;
out vec4 o_color;

void main() {
  float from_axis = length(vec2(at_px.x - clamp(at_px.x, 0.0, length_px), at_px.y));
  // Thinner than a pixel: as wide as one, and fainter.
  float half_width = max(half_px, 0.5);
  float cover = clamp(half_width - from_axis + 0.5, 0.0, 1.0) * min(half_px / half_width, 1.0);
  if (dash_px > 0.0) {
    float phase = abs(fract(at_px.x / (2.0 * dash_px)) - 0.5) * 2.0 * dash_px;
    cover *= clamp(phase - 0.5 * dash_px + 0.5, 0.0, 1.0);
  }
  o_color = vec4(find_color(color.rgb, use), color.a * cover);
}
)";
}

std::string band_vertex() {
  return prelude() + R"(
layout(location = 0) in vec4 a_p_opacity;
layout(location = 1) in vec4 a_color_use;
uniform float u_lift;
out vec3 color;
out float use;
out float opacity;

void main() {
  color = a_color_use.rgb;
  use = a_color_use.a;
  opacity = a_p_opacity.w;
  gl_Position = u_VP * vec4(lift(a_p_opacity.xyz, u_lift), 1.0);
}
)";
}

std::string band_fragment() {
  return prelude() + R"(
in vec3 color;
in float use;
in float opacity;
out vec4 o_color;
void main() { o_color = vec4(find_color(color, use), opacity); }
)";
}

}  // namespace steepwright::viewer::render::shaders
