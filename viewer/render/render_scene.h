#pragma once

/// What is to be drawn, as plain data: no GL, no engine. Lengths in m, positions in W, colours as sRGB 0..1.
///
/// A thing has either a colour of its own or a `use`: the share of a limit that is used, drawn by the one colour scale
/// (use_scale.h). Colour means nothing else. Vectors may be filled anew each frame; clear() keeps their memory.

#include "viewer/render/pick_id.h"

#include <glm/glm.hpp>

#include <cstdint>
#include <memory>
#include <vector>

namespace steepwright::viewer::render {

using Color = glm::vec3;
inline constexpr float kNoUse = -1.0F;

/// Triangles over vertices with normals, in the mesh's own frame M. Never changed once handed to a renderer.
struct MeshData {
  std::vector<glm::vec3> positions;
  std::vector<glm::vec3> normals;  ///< one a position
  std::vector<std::uint32_t> indices;
};
using MeshHandle = std::shared_ptr<const MeshData>;

/// How a surface answers light, and its texture.
enum class Material : std::uint8_t { kPlain, kWood, kPlywood, kResin, kGrit, kFabric, kPaint, kSkin };

/// The renderer copies a mesh to the GPU the first time it sees its handle and draws equal handles in one go.
struct MeshInstance {
  MeshHandle mesh;
  glm::mat4 X_WM{1.0F};  ///< rotation and translation, scale allowed
  Material material = Material::kPlain;
  Color color{0.7F};
  float use = kNoUse;
  bool is_outlined = false;  ///< an outline shines through everything: hovered, selected
  bool casts_shadow = true;
  float opacity = 1.0F;
  PickId pick{};
};

/// A tapered limb: two balls and the cone that touches both. Use may differ from end to end.
struct Limb {
  glm::vec3 pA_W{0.0F}, pB_W{0.0F};
  float radius_A = 0.0F, radius_B = 0.0F;
  Material material = Material::kSkin;
  Color color{0.7F};
  float use_A = kNoUse, use_B = kNoUse;
  bool is_outlined = false;
  bool casts_shadow = true;
  float opacity = 1.0F;
  PickId pick{};
};

struct Ball {
  glm::vec3 p_W{0.0F};
  float radius = 0.0F;
  Material material = Material::kPlain;
  Color color{0.7F};
  float use = kNoUse;
  bool is_outlined = false;
  bool casts_shadow = true;
  float opacity = 1.0F;
  PickId pick{};
};

struct Arrow {
  glm::vec3 p_W{0.0F};       ///< foot
  glm::vec3 vector_W{0.0F};  ///< to the tip
  float radius = 0.008F;     ///< of the shaft
  Color color{0.7F};
  float use = kNoUse;
  float opacity = 1.0F;
  PickId pick{};
};

/// A straight piece of a line as wide on the screen wherever it is; joined pieces meet in round ends.
struct LinePiece {
  glm::vec3 pA_W{0.0F}, pB_W{0.0F};
  float width_px = 1.5F;
  Color color{0.5F};
  float use_A = kNoUse, use_B = kNoUse;
  float opacity = 1.0F;
  float dash_px = 0.0F;    ///< length of dashes and gaps; 0: solid
  bool is_on_top = false;  ///< shines through what is before it
};

/// A flat disc on a face; drawn a hair's breadth over it. T-nuts.
struct Disc {
  glm::vec3 p_W{0.0F};
  glm::vec3 normal_W{0.0F, -1.0F, 0.0F};
  float radius = 0.0F;
  Color color{0.2F}, rim_color{0.5F};
  float rim_share = 0.3F;  ///< of the radius
};

/// Translucent triangles, seen from both sides: contour bands on a wall, direction cones, slip risk.
struct BandVertex {
  glm::vec3 p_W{0.0F};
  Color color{0.7F};
  float use = kNoUse;
  float opacity = 0.4F;
};
struct Band {
  std::uint32_t first_index = 0, n_indices = 0;  ///< in RenderScene::band_indices
  bool lies_on_face = false;                     ///< drawn a hair's breadth nearer, so that it lies on a panel
};

struct RenderScene {
  std::vector<MeshInstance> meshes;
  std::vector<Limb> limbs;
  std::vector<Ball> balls;
  std::vector<Arrow> arrows;
  std::vector<LinePiece> lines;
  std::vector<Disc> discs;
  std::vector<Band> bands;
  std::vector<BandVertex> band_vertices;
  std::vector<std::uint32_t> band_indices;  ///< three a triangle

  void clear();
  /// Starts a band; the triangles follow by add_band_triangle.
  void begin_band(bool lies_on_face);
  void add_band_triangle(const BandVertex& a, const BandVertex& b, const BandVertex& c);
  /// Two triangles over four corners in turn.
  void add_band_quad(const BandVertex& a, const BandVertex& b, const BandVertex& c, const BandVertex& d);
};

/// Adds all of `other` behind what `scene` has.
void append(RenderScene& scene, const RenderScene& other);

}  // namespace steepwright::viewer::render
