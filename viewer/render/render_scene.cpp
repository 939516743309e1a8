#include "viewer/render/render_scene.h"

#include <cmath>

namespace steepwright::viewer::render {

namespace {

template <typename T>
void append_all(std::vector<T>& to, const std::vector<T>& from) {
  to.insert(to.end(), from.begin(), from.end());
}

void extend(Box& box, const glm::vec3& p_W, float radius) {
  box.lower = glm::min(box.lower, glm::dvec3(p_W - radius));
  box.upper = glm::max(box.upper, glm::dvec3(p_W + radius));
}

}  // namespace

void RenderScene::clear() {
  meshes.clear();
  limbs.clear();
  balls.clear();
  arrows.clear();
  lines.clear();
  discs.clear();
  bands.clear();
  band_vertices.clear();
  band_indices.clear();
}

void RenderScene::begin_band(bool lies_on_face) {
  bands.push_back({static_cast<std::uint32_t>(band_indices.size()), 0, lies_on_face});
}

void RenderScene::add_band_triangle(const BandVertex& a, const BandVertex& b, const BandVertex& c) {
  if (bands.empty()) begin_band(false);
  for (const BandVertex& vertex : {a, b, c}) {
    band_indices.push_back(static_cast<std::uint32_t>(band_vertices.size()));
    band_vertices.push_back(vertex);
  }
  bands.back().n_indices += 3;
}

void append(RenderScene& scene, const RenderScene& other) {
  append_all(scene.meshes, other.meshes);
  append_all(scene.limbs, other.limbs);
  append_all(scene.balls, other.balls);
  append_all(scene.arrows, other.arrows);
  append_all(scene.lines, other.lines);
  append_all(scene.discs, other.discs);
  const auto first_vertex = static_cast<std::uint32_t>(scene.band_vertices.size());
  const auto first_index = static_cast<std::uint32_t>(scene.band_indices.size());
  append_all(scene.band_vertices, other.band_vertices);
  for (const std::uint32_t index : other.band_indices) scene.band_indices.push_back(first_vertex + index);
  for (Band band : other.bands) {
    band.first_index += first_index;
    scene.bands.push_back(band);
  }
}

Box find_box(const RenderScene& scene) {
  Box box{glm::dvec3(1e300), glm::dvec3(-1e300)};
  for (const MeshInstance& instance : scene.meshes) {
    if (instance.mesh == nullptr) continue;
    for (const glm::vec3& p_M : instance.mesh->positions)
      extend(box, glm::vec3(instance.X_WM * glm::vec4(p_M, 1.0F)), 0.0F);
  }
  for (const Limb& limb : scene.limbs) {
    extend(box, limb.pA_W, limb.radius_A);
    extend(box, limb.pB_W, limb.radius_B);
  }
  for (const Ball& ball : scene.balls) extend(box, ball.p_W, ball.radius);
  for (const Arrow& arrow : scene.arrows) {
    extend(box, arrow.p_W, arrow.radius);
    extend(box, arrow.p_W + arrow.vector_W, 0.0F);
  }
  for (const Disc& disc : scene.discs) extend(box, disc.p_W, disc.radius);
  return box;
}

}  // namespace steepwright::viewer::render
