#include "viewer/render/shader_sources.h"

namespace steepwright::viewer::render::shaders {

std::string prelude() {
  return R"(#version 330 core
layout(std140) uniform Frame {
  mat4 u_V;
  mat4 u_P;
  mat4 u_shadow;
  vec4 u_eye;
  vec4 u_forward;
  vec4 u_viewport;
  vec4 u_light;
  vec4 u_sky;
  vec4 u_ground;
  vec4 u_switches;
  vec4 u_background_top;
  vec4 u_background_bottom;
  vec4 u_outline;
  vec4 u_scale[18];
};
layout(std140) uniform Pass {
  mat4 u_VP;
};

vec3 to_linear(vec3 c) {
  return mix(c / 12.92, pow((c + 0.055) / 1.055, vec3(2.4)), step(vec3(0.04045), c));
}
vec3 to_srgb(vec3 c) {
  c = clamp(c, 0.0, 1.0);
  return mix(c * 12.92, 1.055 * pow(c, vec3(1.0 / 2.4)) - 0.055, step(vec3(0.0031308), c));
}

// A use just over 1 by rounding is still the whole limit.
vec3 find_use_color(float use) {
  if (use > 1.0005) return u_scale[17].rgb;
  float at = clamp(use, 0.0, 1.0) * 16.0;
  int step_below = int(min(floor(at), 15.0));
  return mix(u_scale[step_below].rgb, u_scale[step_below + 1].rgb, at - float(step_below));
}
vec3 find_color(vec3 own, float use) {
  return use < 0.0 ? to_linear(own) : find_use_color(use);
}

// Bright faces keep their form: above the knee, light nears white without reaching it.
vec3 soften(vec3 c) {
  const float kKnee = 0.55;
  vec3 over = max(c - kKnee, 0.0);
  return min(c, kKnee) + (1.0 - kKnee) * (1.0 - exp(-over / (1.0 - kKnee)));
}

// p_W a little nearer to the eye: what lies on a face is seen on it at any distance.
vec3 lift(vec3 p_W, float share) {
  return u_eye.w > 0.5 ? mix(p_W, u_eye.xyz, share) : p_W - 4.0 * share * u_forward.xyz;
}
vec3 find_view_direction(vec3 p_W) {
  return u_eye.w > 0.5 ? normalize(u_eye.xyz - p_W) : -u_forward.xyz;
}
)";
}

namespace {

/// What the vertex shaders of things hand on. The colour is linear; it is that of the use where that is one number.
const char* const kThingOut = R"(
out vec3 p_W;
out vec3 n_W;
out vec3 p_texture;
out vec3 n_texture;
out float use;
flat out vec3 color;
flat out float opacity;
flat out uint material;
flat out uint pick;
)";

/// Called at the end of each: light at every corner, for the plain fragment shader, or nothing.
const char* const kLitLater = "void light_up() {}\n";
const char* const kLitHere = R"(
out vec3 light;
void light_up() {
  vec3 arriving = mix(u_ground.rgb, u_sky.rgb, 0.5 + 0.5 * n_W.z) + max(dot(n_W, u_light.xyz), 0.0) * u_light.w +
                  u_sky.a * max(dot(n_W, find_view_direction(p_W)), 0.0);
  // As the fine shader has it: a use is read by its colour; bright faces near white without reaching it.
  vec3 shown = soften(color * arriving);
  light = use >= 0.0 ? mix(vec3(1.0), arriving, 0.4) : shown / max(color, 1e-4);
}
)";

std::string make_thing_head(bool is_plain) { return prelude() + kThingOut + (is_plain ? kLitHere : kLitLater); }

}  // namespace

std::string mesh_vertex(bool is_plain) {
  return make_thing_head(is_plain) + R"(
layout(location = 0) in vec3 a_position;
layout(location = 1) in vec3 a_normal;
layout(location = 2) in vec4 a_row0;
layout(location = 3) in vec4 a_row1;
layout(location = 4) in vec4 a_row2;
layout(location = 5) in vec4 a_color_use;
layout(location = 6) in float a_opacity;
layout(location = 7) in uvec2 a_material_pick;

void main() {
  vec4 p_M = vec4(a_position, 1.0);
  p_W = vec3(dot(a_row0, p_M), dot(a_row1, p_M), dot(a_row2, p_M));
  vec3 c0 = vec3(a_row0.x, a_row1.x, a_row2.x);
  vec3 c1 = vec3(a_row0.y, a_row1.y, a_row2.y);
  vec3 c2 = vec3(a_row0.z, a_row1.z, a_row2.z);
  // Cofactors: right for unequal scale; the sign for mirrored ones.
  vec3 c12 = cross(c1, c2);
  n_W = sign(dot(c0, c12)) * (c12 * a_normal.x + cross(c2, c0) * a_normal.y + cross(c0, c1) * a_normal.z);
  n_W = normalize(n_W);
  p_texture = a_position * vec3(length(c0), length(c1), length(c2));
  n_texture = a_normal;
  color = find_color(a_color_use.rgb, a_color_use.a);
  use = a_color_use.a;
  opacity = a_opacity;
  material = a_material_pick.x;
  pick = a_material_pick.y;
  gl_Position = u_VP * vec4(p_W, 1.0);
  light_up();
}
)";
}

std::string limb_vertex(bool is_plain) {
  return make_thing_head(is_plain) + R"(
layout(location = 0) in vec4 a_round;  // cos and sin about the axis, share of its end's arc, end 0 or 1
layout(location = 2) in vec4 a_pA_rA;
layout(location = 3) in vec4 a_pB_rB;
layout(location = 4) in vec4 a_color_opacity;
layout(location = 5) in vec2 a_uses;
layout(location = 7) in uvec2 a_material_pick;

void main() {
  const float kQuarter = 1.57079633;
  vec3 axis = a_pB_rB.xyz - a_pA_rA.xyz;
  float len = length(axis);
  axis = len > 1e-6 ? axis / len : vec3(0.0, 0.0, 1.0);
  // Where the cone touches both balls: the angle of its normal over the plane square to the axis.
  float touch = asin(clamp((a_pA_rA.w - a_pB_rB.w) / max(len, 1e-6), -1.0, 1.0));
  bool is_A = a_round.w < 0.5;
  float angle = is_A ? mix(-kQuarter, touch, a_round.z) : mix(touch, kQuarter, a_round.z);
  vec3 t1 = normalize(cross(axis, abs(axis.x) < 0.6 ? vec3(1.0, 0.0, 0.0) : vec3(0.0, 1.0, 0.0)));
  vec3 t2 = cross(axis, t1);
  n_W = cos(angle) * (a_round.x * t1 + a_round.y * t2) + sin(angle) * axis;
  p_W = is_A ? a_pA_rA.xyz + a_pA_rA.w * n_W : a_pB_rB.xyz + a_pB_rB.w * n_W;
  p_texture = p_W;
  n_texture = n_W;
  color = to_linear(a_color_opacity.rgb);
  opacity = a_color_opacity.a;
  use = is_A ? a_uses.x : a_uses.y;
  material = a_material_pick.x;
  pick = a_material_pick.y;
  gl_Position = u_VP * vec4(p_W, 1.0);
  light_up();
}
)";
}

std::string arrow_vertex(bool is_plain) {
  return make_thing_head(is_plain) + R"(
layout(location = 0) in vec4 a_station;  // cos and sin about the axis, radius in shafts, kind of place along it
layout(location = 1) in vec2 a_slope;    // normal: outward, along the axis
layout(location = 2) in vec4 a_foot_radius;
layout(location = 3) in vec4 a_vector_opacity;
layout(location = 4) in vec4 a_color_use;
layout(location = 7) in uvec2 a_material_pick;

void main() {
  vec3 axis = a_vector_opacity.xyz;
  float len = length(axis);
  axis = len > 1e-6 ? axis / len : vec3(0.0, 0.0, 1.0);
  // A short arrow is all head, and as slim as that asks for.
  const float kHeadLength = 5.0;
  float radius = min(a_foot_radius.w, len / kHeadLength);
  float head = kHeadLength * radius;
  float along = a_station.w < 0.5 ? 0.0 : (a_station.w < 1.5 ? len - head : len);
  vec3 t1 = normalize(cross(axis, abs(axis.x) < 0.6 ? vec3(1.0, 0.0, 0.0) : vec3(0.0, 1.0, 0.0)));
  vec3 t2 = cross(axis, t1);
  vec3 outward = a_station.x * t1 + a_station.y * t2;
  p_W = a_foot_radius.xyz + along * axis + radius * a_station.z * outward;
  n_W = normalize(a_slope.x * outward + a_slope.y * axis);
  p_texture = p_W;
  n_texture = n_W;
  color = find_color(a_color_use.rgb, a_color_use.a);
  use = a_color_use.a;
  opacity = a_vector_opacity.w;
  material = a_material_pick.x;
  pick = a_material_pick.y;
  gl_Position = u_VP * vec4(p_W, 1.0);
  light_up();
}
)";
}

std::string depth_fragment() { return prelude() + "void main() {}\n"; }

std::string normal_fragment() {
  return prelude() + R"(
in vec3 n_W;
out vec4 o_normal;
void main() { o_normal = vec4(0.5 * normalize(mat3(u_V) * n_W) + 0.5, 1.0); }
)";
}

std::string pick_fragment() {
  return prelude() + R"(
flat in uint pick;
out uint o_pick;
void main() { o_pick = pick; }
)";
}

std::string mask_fragment() {
  return prelude() + R"(
out vec4 o_mask;
void main() { o_mask = vec4(1.0); }
)";
}

}  // namespace steepwright::viewer::render::shaders
