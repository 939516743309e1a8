#pragma once

/// A scene on the GPU, and the draw calls for each kind of thing in it.

#include "viewer/render/draw_list.h"
#include "viewer/render/gpu_buffers.h"
#include "viewer/render/mesh_store.h"
#include "viewer/render/programs.h"
#include "viewer/render/round_shapes.h"

#include <glm/glm.hpp>

namespace steepwright::viewer::render {

enum class Things { kCasting, kSolid, kTranslucent, kOutlined };

struct ViewRect {
  glm::vec2 lower{-1.0F}, upper{1.0F};
};

class ThingDrawer {
 public:
  ThingDrawer();

  /// Copies the scene to the GPU; what is drawn from then on. Coarse: limbs of fewer triangles.
  void load(const RenderScene& scene, const glm::vec3& p_Weye, bool is_coarse);

  /// Meshes, limbs, balls and arrows of a class. Arrows cast no shadow.
  void draw(const ThingPrograms& programs, Things things);
  void draw_discs(const gl::Program& program);
  void draw_lines(const gl::Program& program);
  void draw_bands(const RenderScene& scene, const Programs& programs);

  /// Smallest box, in a frame turned by R_LW, around what casts shadows; lower > upper when nothing does.
  [[nodiscard]] Box find_casters_box(const glm::mat3& R_LW) const;
  /// Smallest rectangle of the view, -1..1 across and up, around what is outlined; all of it when that comes near the
  /// eye or nothing is.
  [[nodiscard]] ViewRect find_outlined_rect(const glm::mat4& VP) const;
  [[nodiscard]] bool has(Things things) const;

  [[nodiscard]] const MeshStore& meshes() const { return meshes_; }
  void drop_unused_meshes() { meshes_.drop_unused(); }

  // Since the last reset_counts().
  void reset_counts() { n_calls_ = 0, n_triangles_ = 0; }
  [[nodiscard]] int n_calls() const { return n_calls_; }
  [[nodiscard]] long n_triangles() const { return n_triangles_; }

 private:
  void draw_mesh(const MeshBatch& batch);
  void draw_shape(const ShapeMesh& shape, GLenum index_type, int n_rows);
  void draw_limbs(const Rows& rows);
  void draw_arrows(const Rows& rows);

  MeshStore meshes_;
  DrawList list_;
  ShapeMesh limb_shape_, coarse_limb_shape_, arrow_shape_, disc_shape_, line_shape_;
  StreamBuffer mesh_rows_, limb_rows_, arrow_rows_, disc_rows_, line_rows_, band_vertices_, band_indices_;
  gl::VertexArray band_array_;
  bool is_coarse_ = false;
  int n_calls_ = 0;
  long n_triangles_ = 0;
};

}  // namespace steepwright::viewer::render
