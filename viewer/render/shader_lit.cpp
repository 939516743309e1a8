/// Light and material of solid things.

#include "viewer/render/shader_sources.h"

namespace steepwright::viewer::render::shaders {

namespace {

/// Value noise; the same on every machine, as the hash is of whole numbers.
const char* const kNoise = R"(
float hash(ivec3 i) {
  uint h = uint(i.x) * 0x8da6b343u ^ uint(i.y) * 0xd8163841u ^ uint(i.z) * 0xcb1ab31fu;
  h = (h ^ (h >> 13u)) * 0x9e3779b1u;
  h ^= h >> 16u;
  return float(h & 0xffffu) / 65535.0;
}
float noise(vec3 p) {
  vec3 cell = floor(p);
  vec3 f = p - cell;
  f = f * f * (3.0 - 2.0 * f);
  ivec3 i = ivec3(cell);
  float near = mix(mix(hash(i), hash(i + ivec3(1, 0, 0)), f.x),
                   mix(hash(i + ivec3(0, 1, 0)), hash(i + ivec3(1, 1, 0)), f.x), f.y);
  float far = mix(mix(hash(i + ivec3(0, 0, 1)), hash(i + ivec3(1, 0, 1)), f.x),
                  mix(hash(i + ivec3(0, 1, 1)), hash(i + ivec3(1, 1, 1)), f.x), f.y);
  return mix(near, far, f.z);
}
// Detail finer than a pixel fades to its mean instead of flickering.
float fading_noise(vec3 p) {
  vec3 width = fwidth(p);
  float fade = clamp(2.0 - 2.5 * max(width.x, max(width.y, width.z)), 0.0, 1.0);
  return fade > 0.0 ? mix(0.5, noise(p), fade) : 0.5;
}
)";

/// Colour, gloss and small bumps of each material at a place of the body's own frame, m. Two noises, stretched for the
/// material, serve all: a software renderer runs every branch for every pixel.
const char* const kMaterials = R"(
const uint kPlain = 0u, kWood = 1u, kPlywood = 2u, kResin = 3u, kGrit = 4u, kFabric = 5u, kPaint = 6u, kSkin = 7u;

struct Surface {
  vec3 albedo;
  float gloss;     // strength of the highlight
  float exponent;  // narrowness of it
};

// Cells per metre of the coarse and the fine noise.
void find_grain(bool is_face, out vec3 coarse, out vec3 fine) {
  coarse = vec3(0.0);
  fine = vec3(0.0);
  if (material == kWood) {
    coarse = vec3(6.0, 30.0, 30.0);
    fine = vec3(40.0, 900.0, 900.0);
  } else if (material == kPlywood && is_face) {
    coarse = vec3(22.0, 1.3, 1.0);
    fine = vec3(420.0, 14.0, 1.0);
  } else if (material == kResin) {
    coarse = vec3(700.0);
    fine = vec3(1500.0);
  } else if (material == kGrit) {
    coarse = vec3(500.0);
    fine = vec3(900.0);
  } else if (material == kFabric) {
    fine = vec3(350.0);
  }
}

Surface find_surface(vec3 base, vec3 q, vec3 n, inout vec3 n_W) {
  bool is_face = abs(n.z) > 0.5;
  vec3 coarse_scale, fine_scale;
  find_grain(is_face, coarse_scale, fine_scale);
  float coarse = fading_noise(q * coarse_scale);
  float fine = fading_noise(q * fine_scale);
  if (material == kWood) {
    // Year rings about an axis that runs beside the body, drawn out along x; fibres finer and longer.
    float rings = length(q.yz + vec2(0.11, 0.05)) * 150.0 + 2.5 * coarse;
    float ring = 0.5 + 0.5 * sin(6.2832 * rings);
    ring = mix(0.5, ring * ring, clamp(1.6 - 2.5 * fwidth(rings), 0.0, 1.0));
    vec3 dark = base * vec3(0.80, 0.76, 0.70);
    return Surface(mix(base, dark, 0.55 * ring) * (0.93 + 0.14 * fine), 0.10, 24.0);
  }
  if (material == kPlywood) {
    // Edges show the plies, 3 mm each.
    float ply = q.z / 0.003;
    float stripe = mix(0.5, step(0.5, fract(0.5 * ply)), clamp(1.5 - 2.0 * fwidth(ply), 0.0, 1.0));
    float shade = is_face ? 0.90 + 0.13 * coarse + 0.07 * fine : mix(0.62, 0.95, stripe);
    return Surface(base * shade, 0.06, 16.0);
  }
  if (material == kResin || material == kGrit) {
    float depth = material == kGrit ? 0.55 : 0.22;
    n_W = normalize(n_W + depth * (vec3(coarse, fine, fract(7.0 * coarse + 5.0 * fine)) - 0.5));
    return Surface(base * (0.90 + 0.20 * coarse), material == kGrit ? 0.05 : 0.16, 30.0);
  }
  if (material == kFabric) return Surface(base * (0.93 + 0.14 * fine), 0.05, 8.0);
  if (material == kSkin) return Surface(base, 0.08, 14.0);
  return Surface(base, material == kPaint ? 0.0 : 0.12, 24.0);
}
)";

const char* const kLight = R"(
uniform sampler2DShadow u_shadow_map;
uniform sampler2D u_occlusion_map;

// Share of the light that arrives: the map compared over 5 x 5 texels by nine weighted bilinear fetches, so that
// the edge of a shadow is soft and free of steps.
float find_open() {
  return u_switches.y > 0.5 ? texelFetch(u_occlusion_map, ivec2(gl_FragCoord.xy), 0).r : 1.0;
}
float find_light(vec3 n) {
  if (u_switches.x < 0.5) return 1.0;
  float texel = u_switches.z;
  float slope = clamp(dot(n, u_light.xyz), 0.0, 1.0);
  // Along the normal by about what a texel spans on a slanted face.
  vec3 shifted = p_W + n * u_switches.w * (1.0 + 3.0 * sqrt(1.0 - slope * slope));
  vec3 at = (u_shadow * vec4(shifted, 1.0)).xyz;
  if (any(lessThan(at.xy, vec2(0.0))) || any(greaterThan(at.xy, vec2(1.0)))) return 1.0;
  // What lies behind all that casts is in its shadow still.
  at.z = clamp(at.z, 0.0, 1.0);
  vec2 place = at.xy / texel;
  vec2 base = floor(place + 0.5);
  vec2 s = place + 0.5 - base;
  base = (base - 0.5) * texel;
  vec3 weight_u = vec3(4.0 - 3.0 * s.x, 7.0, 1.0 + 3.0 * s.x);
  vec3 weight_v = vec3(4.0 - 3.0 * s.y, 7.0, 1.0 + 3.0 * s.y);
  vec3 u = vec3((3.0 - 2.0 * s.x) / weight_u.x - 2.0, (3.0 + s.x) / weight_u.y, s.x / weight_u.z + 2.0) * texel;
  vec3 v = vec3((3.0 - 2.0 * s.y) / weight_v.x - 2.0, (3.0 + s.y) / weight_v.y, s.y / weight_v.z + 2.0) * texel;
  float sum = 0.0;
  for (int i = 0; i < 3; ++i) {
    for (int j = 0; j < 3; ++j)
      sum += weight_u[i] * weight_v[j] * texture(u_shadow_map, vec3(base + vec2(u[i], v[j]), at.z));
  }
  return sum / 144.0;
}
)";

/// Light was found at the corners.
const char* const kPlain = R"(
in float use;
in vec3 light;
flat in vec3 color;
flat in float opacity;
out vec4 o_color;
void main() {
  vec3 base = color;
#ifdef USE_VARIES
  if (use >= 0.0) base = find_use_color(use);
#endif
  o_color = vec4(base * light, opacity);
}
)";

}  // namespace

std::string lit_fragment(bool is_plain, bool use_varies) {
  const std::string head = prelude() + (use_varies ? "#define USE_VARIES\n" : "");
  if (is_plain) return head + kPlain;
  return head + R"(
in vec3 p_W;
in vec3 n_W;
in vec3 p_texture;
in vec3 n_texture;
in float use;
flat in vec3 color;
flat in float opacity;
flat in uint material;
out vec4 o_color;
)" + kNoise +
         kMaterials + kLight + R"(
void main() {
  vec3 n = normalize(n_W);
  vec3 to_eye = find_view_direction(p_W);
  vec3 n_bumped = n;
  vec3 base = color;
#ifdef USE_VARIES
  if (use >= 0.0) base = find_use_color(use);
#endif
  Surface surface = use < 0.0 ? find_surface(base, p_texture, n_texture, n_bumped) : Surface(base, 0.05, 16.0);
  float open = find_open();
  float lit = dot(n, u_light.xyz) > 0.0 ? find_light(n) : 0.0;
  float key = max(dot(n_bumped, u_light.xyz), 0.0) * lit * u_light.w;
  vec3 ambient = mix(u_ground.rgb, u_sky.rgb, 0.5 + 0.5 * n_bumped.z) * open;
  // A faint lamp at the eye gives shape to what the room's light misses.
  float lamp = u_sky.a * max(dot(n_bumped, to_eye), 0.0) * mix(1.0, open, 0.7);
  vec3 light = ambient + key + lamp;
  vec3 half_way = normalize(u_light.xyz + to_eye);
  float highlight = surface.gloss * pow(max(dot(n_bumped, half_way), 0.0), surface.exponent) * lit * u_light.w;
  vec3 shown = soften(surface.albedo * light + highlight);
  // A use is read by its colour: light only hints at the form.
  if (use >= 0.0) shown = surface.albedo * mix(vec3(1.0), light, 0.4);
  o_color = vec4(shown, opacity);
}
)";
}

}  // namespace steepwright::viewer::render::shaders
