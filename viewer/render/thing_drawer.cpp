#include "viewer/render/thing_drawer.h"

#include <array>
#include <cstddef>
#include <cstdint>

namespace steepwright::viewer::render {

namespace {

constexpr std::array<RowAttribute, 6> kMeshRow = {{{2, 4, offsetof(GpuMeshInstance, row0)},
                                                   {3, 4, offsetof(GpuMeshInstance, row1)},
                                                   {4, 4, offsetof(GpuMeshInstance, row2)},
                                                   {5, 4, offsetof(GpuMeshInstance, color_use)},
                                                   {6, 1, offsetof(GpuMeshInstance, opacity)},
                                                   {7, 2, offsetof(GpuMeshInstance, material), true}}};
constexpr std::array<RowAttribute, 5> kLimbRow = {{{2, 4, offsetof(GpuLimb, end_a)},
                                                   {3, 4, offsetof(GpuLimb, end_b)},
                                                   {4, 4, offsetof(GpuLimb, color_opacity)},
                                                   {5, 2, offsetof(GpuLimb, uses)},
                                                   {7, 2, offsetof(GpuLimb, material), true}}};
constexpr std::array<RowAttribute, 4> kArrowRow = {{{2, 4, offsetof(GpuArrow, foot_radius)},
                                                    {3, 4, offsetof(GpuArrow, vector_opacity)},
                                                    {4, 4, offsetof(GpuArrow, color_use)},
                                                    {7, 2, offsetof(GpuArrow, material), true}}};
constexpr std::array<RowAttribute, 4> kDiscRow = {{{2, 4, offsetof(GpuDisc, p_radius)},
                                                   {3, 4, offsetof(GpuDisc, normal_rim)},
                                                   {4, 3, offsetof(GpuDisc, color)},
                                                   {5, 3, offsetof(GpuDisc, rim_color)}}};
constexpr std::array<RowAttribute, 4> kLineRow = {{{2, 4, offsetof(GpuLine, from_width)},
                                                   {3, 4, offsetof(GpuLine, to_dash)},
                                                   {4, 4, offsetof(GpuLine, color_opacity)},
                                                   {5, 3, offsetof(GpuLine, uses_on_top)}}};

// How far bands and lines are drawn before what they lie on, share of the distance from the eye.
constexpr float kBandLift = 0.0003F;

void extend(Box& box, const glm::vec3& lower, const glm::vec3& upper) {
  box.lower = glm::min(box.lower, glm::dvec3(lower));
  box.upper = glm::max(box.upper, glm::dvec3(upper));
}

/// Box of a turned box: middle and half extents turned apart.
void extend_turned(Box& box, const glm::mat3& R, const glm::vec3& shift, const Box& inner) {
  const glm::vec3 middle(inner.middle());
  const glm::vec3 half(0.5 * (inner.upper - inner.lower));
  const glm::mat3 widths(glm::abs(R[0]), glm::abs(R[1]), glm::abs(R[2]));
  const glm::vec3 turned = R * middle + shift;
  extend(box, turned - widths * half, turned + widths * half);
}

/// Turned and shifted into W.
struct RowPose {
  glm::mat3 R_WM;
  glm::vec3 p_WM;
};
RowPose find_pose(const GpuMeshInstance& row) {
  return {glm::transpose(glm::mat3(glm::vec3(row.row0), glm::vec3(row.row1), glm::vec3(row.row2))),
          {row.row0.w, row.row1.w, row.row2.w}};
}

/// Extends the rectangle by a box of W; false where a corner is not before the eye.
bool extend_rect(ViewRect& rect, const glm::mat4& VP, const Box& box) {
  constexpr float kLeastDepth_m = 1e-3F;
  for (int corner = 0; corner < 8; ++corner) {
    const glm::vec4 p(
        glm::vec3((corner & 1) != 0 ? box.upper.x : box.lower.x, (corner & 2) != 0 ? box.upper.y : box.lower.y,
                  (corner & 4) != 0 ? box.upper.z : box.lower.z),
        1.0F);
    const glm::vec4 clip = VP * p;
    if (clip.w < kLeastDepth_m) return false;
    rect.lower = glm::min(rect.lower, glm::vec2(clip) / clip.w);
    rect.upper = glm::max(rect.upper, glm::vec2(clip) / clip.w);
  }
  return true;
}

}  // namespace

ThingDrawer::ThingDrawer()
    : limb_shape_(make_limb_shape()),
      coarse_limb_shape_(make_limb_shape(kCoarse)),
      arrow_shape_(make_arrow_shape()),
      disc_shape_(make_disc_shape()),
      line_shape_(make_line_shape()),
      mesh_rows_(GL_ARRAY_BUFFER),
      limb_rows_(GL_ARRAY_BUFFER),
      arrow_rows_(GL_ARRAY_BUFFER),
      disc_rows_(GL_ARRAY_BUFFER),
      line_rows_(GL_ARRAY_BUFFER),
      band_vertices_(GL_ARRAY_BUFFER),
      band_indices_(GL_ELEMENT_ARRAY_BUFFER),
      band_array_(gl::VertexArray::make()) {}

void ThingDrawer::load(const RenderScene& scene, const glm::vec3& p_Weye, bool is_coarse) {
  is_coarse_ = is_coarse;
  make_draw_list(
      scene, p_Weye, [this](const MeshHandle& mesh) { return meshes_.find(mesh); }, list_);
  mesh_rows_.fill(list_.meshes);
  limb_rows_.fill(list_.limbs);
  arrow_rows_.fill(list_.arrows);
  disc_rows_.fill(list_.discs);
  line_rows_.fill(list_.lines);
  glBindVertexArray(band_array_.name());
  band_vertices_.fill(list_.band_vertices);
  band_indices_.fill(scene.band_indices);
  glBindVertexArray(0);
}

bool ThingDrawer::has(Things things) const {
  switch (things) {
    case Things::kTranslucent:
      return (!list_.batches.empty() && list_.batches.back().is_translucent) || list_.translucent_limbs.count > 0 ||
             list_.translucent_arrows.count > 0;
    case Things::kOutlined:
      return !list_.outlined_batches.empty() || !list_.outlined_limbs.empty();
    case Things::kCasting:
    case Things::kSolid:
      break;
  }
  return true;
}

void ThingDrawer::draw_mesh(const MeshBatch& batch) {
  glFrontFace(batch.is_mirrored ? GL_CW : GL_CCW);
  meshes_.bind(batch.mesh);
  point_at_rows(mesh_rows_, kMeshRow, sizeof(GpuMeshInstance), batch.rows.first);
  const GLsizei n_indices = meshes_.n_indices(batch.mesh);
  glDrawElementsInstanced(GL_TRIANGLES, n_indices, GL_UNSIGNED_INT, nullptr, batch.rows.count);
  glFrontFace(GL_CCW);
  ++n_calls_;
  n_triangles_ += static_cast<long>(n_indices / 3) * batch.rows.count;
}

void ThingDrawer::draw_shape(const ShapeMesh& shape, GLenum index_type, int n_rows) {
  glDrawElementsInstanced(GL_TRIANGLES, shape.n_indices, index_type, nullptr, n_rows);
  ++n_calls_;
  n_triangles_ += static_cast<long>(shape.n_indices / 3) * n_rows;
}

void ThingDrawer::draw_limbs(const Rows& rows) {
  if (rows.count <= 0) return;
  const ShapeMesh& shape = is_coarse_ ? coarse_limb_shape_ : limb_shape_;
  glBindVertexArray(shape.array.name());
  point_at_rows(limb_rows_, kLimbRow, sizeof(GpuLimb), rows.first);
  draw_shape(shape, GL_UNSIGNED_SHORT, rows.count);
}

void ThingDrawer::draw_arrows(const Rows& rows) {
  if (rows.count <= 0) return;
  glBindVertexArray(arrow_shape_.array.name());
  point_at_rows(arrow_rows_, kArrowRow, sizeof(GpuArrow), rows.first);
  draw_shape(arrow_shape_, GL_UNSIGNED_SHORT, rows.count);
}

// Climber, wall and holds, room: what is nearer comes first as a rule, and what it hides is not shaded.
void ThingDrawer::draw(const ThingPrograms& programs, Things things) {
  const bool is_outline = things == Things::kOutlined;
  glUseProgram(programs.limb.name());
  if (things == Things::kCasting) draw_limbs(list_.casting_limbs);
  if (things == Things::kSolid) draw_limbs(list_.solid_limbs);
  if (things == Things::kTranslucent) draw_limbs(list_.translucent_limbs);
  if (is_outline) {
    for (const Rows& rows : list_.outlined_limbs) draw_limbs(rows);
  }
  glUseProgram(programs.arrow.name());
  if (things == Things::kSolid) draw_arrows(list_.solid_arrows);
  if (things == Things::kTranslucent) draw_arrows(list_.translucent_arrows);
  glUseProgram(programs.mesh.name());
  for (const MeshBatch& batch : is_outline ? list_.outlined_batches : list_.batches) {
    const bool is_wanted = is_outline || (batch.is_translucent == (things == Things::kTranslucent) &&
                                          (things != Things::kCasting || batch.casts_shadow));
    if (is_wanted) draw_mesh(batch);
  }
}

void ThingDrawer::draw_discs(const gl::Program& program) {
  if (list_.discs.empty()) return;
  glUseProgram(program.name());
  glBindVertexArray(disc_shape_.array.name());
  point_at_rows(disc_rows_, kDiscRow, sizeof(GpuDisc), 0);
  draw_shape(disc_shape_, GL_UNSIGNED_SHORT, static_cast<int>(list_.discs.size()));
}

void ThingDrawer::draw_lines(const gl::Program& program) {
  if (list_.lines.empty()) return;
  glUseProgram(program.name());
  glBindVertexArray(line_shape_.array.name());
  point_at_rows(line_rows_, kLineRow, sizeof(GpuLine), 0);
  draw_shape(line_shape_, GL_UNSIGNED_SHORT, static_cast<int>(list_.lines.size()));
}

void ThingDrawer::draw_bands(const RenderScene& scene, const Programs& programs) {
  if (list_.band_order.empty()) return;
  glUseProgram(programs.band.name());
  glBindVertexArray(band_array_.name());
  glBindBuffer(GL_ARRAY_BUFFER, band_vertices_.name());
  for (const GLuint location : {0U, 1U}) {
    const auto offset = static_cast<std::uintptr_t>(location == 0U ? offsetof(GpuBandVertex, p_opacity)
                                                                   : offsetof(GpuBandVertex, color_use));
    glVertexAttribPointer(location, 4, GL_FLOAT, GL_FALSE, sizeof(GpuBandVertex),
                          reinterpret_cast<const void*>(offset));
    glEnableVertexAttribArray(location);
  }
  for (const std::uint32_t index : list_.band_order) {
    const Band& band = scene.bands[index];
    if (band.n_indices == 0) continue;
    glUniform1f(programs.band_lift, band.lies_on_face ? kBandLift : 0.0F);
    glDrawElements(GL_TRIANGLES, static_cast<GLsizei>(band.n_indices), GL_UNSIGNED_INT,
                   reinterpret_cast<const void*>(std::uintptr_t{band.first_index} * sizeof(std::uint32_t)));
    ++n_calls_;
    n_triangles_ += band.n_indices / 3;
  }
}

Box ThingDrawer::find_casters_box(const glm::mat3& R_LW) const {
  Box box{glm::dvec3(1e300), glm::dvec3(-1e300)};
  for (const MeshBatch& batch : list_.batches) {
    if (!batch.casts_shadow || batch.is_translucent) continue;
    for (int i = batch.rows.first; i < batch.rows.first + batch.rows.count; ++i) {
      const GpuMeshInstance& row = list_.meshes[static_cast<std::size_t>(i)];
      const RowPose X_WM = find_pose(row);
      extend_turned(box, R_LW * X_WM.R_WM, R_LW * X_WM.p_WM, meshes_.box(batch.mesh));
    }
  }
  for (int i = 0; i < list_.casting_limbs.count; ++i) {
    const GpuLimb& limb = list_.limbs[static_cast<std::size_t>(i)];
    for (const glm::vec4& end : {limb.end_a, limb.end_b}) {
      const glm::vec3 p_L = R_LW * glm::vec3(end);
      extend(box, p_L - end.w, p_L + end.w);
    }
  }
  return box;
}

ViewRect ThingDrawer::find_outlined_rect(const glm::mat4& VP) const {
  constexpr float kFar = 1e9F;
  ViewRect rect{glm::vec2(kFar), glm::vec2(-kFar)};
  const Box nothing{glm::dvec3(1e300), glm::dvec3(-1e300)};
  for (const MeshBatch& batch : list_.outlined_batches) {
    const RowPose X_WM = find_pose(list_.meshes[static_cast<std::size_t>(batch.rows.first)]);
    Box box = nothing;
    extend_turned(box, X_WM.R_WM, X_WM.p_WM, meshes_.box(batch.mesh));
    if (!extend_rect(rect, VP, box)) return {};
  }
  for (const Rows& rows : list_.outlined_limbs) {
    const GpuLimb& limb = list_.limbs[static_cast<std::size_t>(rows.first)];
    Box box = nothing;
    for (const glm::vec4& end : {limb.end_a, limb.end_b}) extend(box, glm::vec3(end) - end.w, glm::vec3(end) + end.w);
    if (!extend_rect(rect, VP, box)) return {};
  }
  if (rect.lower.x > rect.upper.x) return {};
  return {glm::max(rect.lower, -1.0F), glm::min(rect.upper, 1.0F)};
}

}  // namespace steepwright::viewer::render
