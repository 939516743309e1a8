#include "viewer/render/render_scene.h"

namespace steepwright::viewer::render {

namespace {

template <typename T>
void append_all(std::vector<T>& to, const std::vector<T>& from) {
  to.insert(to.end(), from.begin(), from.end());
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

void RenderScene::add_band_quad(const BandVertex& a, const BandVertex& b, const BandVertex& c, const BandVertex& d) {
  if (bands.empty()) begin_band(false);
  const auto first = static_cast<std::uint32_t>(band_vertices.size());
  for (const BandVertex& vertex : {a, b, c, d}) band_vertices.push_back(vertex);
  for (const std::uint32_t corner : {0U, 1U, 2U, 0U, 2U, 3U}) band_indices.push_back(first + corner);
  bands.back().n_indices += 6;
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

}  // namespace steepwright::viewer::render
