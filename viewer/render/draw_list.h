#pragma once

/// A RenderScene as the GPU takes it: instances in rows, in the order they are drawn, and which rows go together.

#include "viewer/render/render_scene.h"

#include <cstdint>
#include <functional>
#include <vector>

namespace steepwright::viewer::render {

struct GpuMeshInstance {
  glm::vec4 row0, row1, row2;  ///< of X_WM
  glm::vec4 color_use;
  float opacity = 1.0F;
  std::uint32_t material = 0, pick = 0;
  std::uint32_t padding = 0;
};
struct GpuLimb {
  glm::vec4 end_a, end_b;  ///< position in W, radius
  glm::vec4 color_opacity;
  glm::vec2 uses;
  std::uint32_t material = 0, pick = 0;
};
struct GpuArrow {
  glm::vec4 foot_radius, vector_opacity;
  glm::vec4 color_use;
  std::uint32_t material = 0, pick = 0;
};
struct GpuDisc {
  glm::vec4 p_radius, normal_rim;
  glm::vec3 color, rim_color;
};
struct GpuLine {
  glm::vec4 from_width, to_dash;  ///< ends in W, width and dash in px
  glm::vec4 color_opacity;
  glm::vec3 uses_on_top;
};
struct GpuBandVertex {
  glm::vec4 p_opacity, color_use;
};

/// Rows [first, first + count) of one kind of thing.
struct Rows {
  int first = 0, count = 0;
};

struct MeshBatch {
  int mesh = 0;  ///< as `find_mesh` of make_draw_list numbers them
  Rows rows;
  bool casts_shadow = true;
  bool is_mirrored = false;  ///< left-handed X_WM: the corners run the other way round
  bool is_translucent = false;
};

/// Kept from frame to frame for its memory.
struct DrawList {
  std::vector<GpuMeshInstance> meshes;
  std::vector<MeshBatch> batches;           ///< solid ones first
  std::vector<MeshBatch> outlined_batches;  ///< one row each
  std::vector<GpuLimb> limbs;               ///< limbs and balls: casting, not casting, translucent
  Rows casting_limbs, solid_limbs, translucent_limbs;
  std::vector<Rows> outlined_limbs;
  std::vector<GpuArrow> arrows;
  Rows solid_arrows, translucent_arrows;
  std::vector<GpuDisc> discs;
  std::vector<GpuLine> lines;
  std::vector<GpuBandVertex> band_vertices;
  std::vector<std::uint32_t> band_order;  ///< indices of RenderScene::bands, farthest from the eye first

  std::vector<std::uint64_t> order;   ///< scratch
  std::vector<float> band_distances;  ///< scratch
};

/// Fills the list; allocates only while it grows. `find_mesh` numbers meshes from 0 (negative: not drawn).
void make_draw_list(const RenderScene& scene, const glm::vec3& p_Weye,
                    const std::function<int(const MeshHandle&)>& find_mesh, DrawList& list);

}  // namespace steepwright::viewer::render
