#include "viewer/render/draw_list.h"

#include <glm/gtc/matrix_access.hpp>

#include <algorithm>
#include <cstddef>

namespace steepwright::viewer::render {

namespace {

bool is_translucent(float opacity) { return opacity < 0.999F; }

// Sort key of a mesh instance: translucency, shadow, handedness, mesh, place in the scene.
constexpr unsigned kTranslucentBit = 63;
constexpr unsigned kNoShadowBit = 62;
constexpr unsigned kMirroredBit = 61;
constexpr unsigned kMeshShift = 32;
constexpr std::uint64_t kMeshMask = 0x1FFFFFFFU;

std::uint64_t flag(bool is_set, unsigned bit) { return (is_set ? std::uint64_t{1} : 0U) << bit; }

GpuMeshInstance to_gpu(const MeshInstance& instance) {
  return {glm::row(instance.X_WM, 0), glm::row(instance.X_WM, 1),
          glm::row(instance.X_WM, 2), glm::vec4(instance.color, instance.use),
          instance.opacity,           static_cast<std::uint32_t>(instance.material),
          pack(instance.pick),        0};
}

GpuLimb to_gpu(const Limb& limb) {
  return {glm::vec4(limb.pA_W, limb.radius_A),       glm::vec4(limb.pB_W, limb.radius_B),
          glm::vec4(limb.color, limb.opacity),       {limb.use_A, limb.use_B},
          static_cast<std::uint32_t>(limb.material), pack(limb.pick)};
}

GpuLimb to_gpu(const Ball& ball) {
  return {glm::vec4(ball.p_W, ball.radius),          glm::vec4(ball.p_W, ball.radius),
          glm::vec4(ball.color, ball.opacity),       {ball.use, ball.use},
          static_cast<std::uint32_t>(ball.material), pack(ball.pick)};
}

GpuArrow to_gpu(const Arrow& arrow) {
  return {glm::vec4(arrow.p_W, arrow.radius), glm::vec4(arrow.vector_W, arrow.opacity),
          glm::vec4(arrow.color, arrow.use), static_cast<std::uint32_t>(Material::kPlain), pack(arrow.pick)};
}

void add_meshes(const RenderScene& scene, const std::function<int(const MeshHandle&)>& find_mesh, DrawList& list) {
  list.order.clear();
  for (std::size_t i = 0; i < scene.meshes.size(); ++i) {
    const MeshInstance& instance = scene.meshes[i];
    const int mesh = instance.mesh == nullptr ? -1 : find_mesh(instance.mesh);
    if (mesh < 0) continue;
    const bool is_mirrored = glm::determinant(glm::mat3(instance.X_WM)) < 0.0F;
    list.order.push_back(flag(is_translucent(instance.opacity), kTranslucentBit) |
                         flag(!instance.casts_shadow, kNoShadowBit) | flag(is_mirrored, kMirroredBit) |
                         (static_cast<std::uint64_t>(mesh) << kMeshShift) | i);
  }
  std::sort(list.order.begin(), list.order.end());
  std::uint64_t last_key = 0;
  for (const std::uint64_t key : list.order) {
    const MeshInstance& instance = scene.meshes[key & 0xFFFFFFFFU];
    const int row = static_cast<int>(list.meshes.size());
    const MeshBatch batch{static_cast<int>((key >> kMeshShift) & kMeshMask),
                          {row, 1},
                          (key >> kNoShadowBit & 1U) == 0U,
                          (key >> kMirroredBit & 1U) != 0U,
                          (key >> kTranslucentBit) != 0U};
    list.meshes.push_back(to_gpu(instance));
    if (instance.is_outlined) list.outlined_batches.push_back(batch);
    if (!list.batches.empty() && key >> kMeshShift == last_key) {
      ++list.batches.back().rows.count;
    } else {
      list.batches.push_back(batch);
    }
    last_key = key >> kMeshShift;
  }
}

/// Limbs and balls whose class (0 casting, 1 not casting, 2 translucent) is `wanted`.
template <typename T>
void add_round(const std::vector<T>& things, int wanted, DrawList& list) {
  for (const T& thing : things) {
    const int found = is_translucent(thing.opacity) ? 2 : (thing.casts_shadow ? 0 : 1);
    if (found != wanted) continue;
    if (thing.is_outlined) list.outlined_limbs.push_back({static_cast<int>(list.limbs.size()), 1});
    list.limbs.push_back(to_gpu(thing));
  }
}

void add_limbs(const RenderScene& scene, DrawList& list) {
  const auto add_class = [&](int wanted) {
    add_round(scene.limbs, wanted, list);
    add_round(scene.balls, wanted, list);
    return static_cast<int>(list.limbs.size());
  };
  const int n_casting = add_class(0);
  const int n_solid = add_class(1);
  const int n_all = add_class(2);
  list.casting_limbs = {0, n_casting};
  list.solid_limbs = {0, n_solid};
  list.translucent_limbs = {n_solid, n_all - n_solid};
}

void add_arrows(const RenderScene& scene, DrawList& list) {
  const auto add_class = [&](bool wanted) {
    for (const Arrow& arrow : scene.arrows) {
      if (is_translucent(arrow.opacity) != wanted) continue;
      list.arrows.push_back(to_gpu(arrow));
    }
    return static_cast<int>(list.arrows.size());
  };
  const int n_solid = add_class(false);
  list.solid_arrows = {0, n_solid};
  list.translucent_arrows = {n_solid, add_class(true) - n_solid};
}

void add_flat(const RenderScene& scene, DrawList& list) {
  for (const Disc& disc : scene.discs) {
    list.discs.push_back(
        {glm::vec4(disc.p_W, disc.radius), glm::vec4(disc.normal_W, disc.rim_share), disc.color, disc.rim_color});
  }
  for (const LinePiece& line : scene.lines) {
    list.lines.push_back({glm::vec4(line.pA_W, line.width_px),
                          glm::vec4(line.pB_W, line.dash_px),
                          glm::vec4(line.color, line.opacity),
                          {line.use_A, line.use_B, line.is_on_top ? 1.0F : 0.0F}});
  }
}

void add_bands(const RenderScene& scene, const glm::vec3& p_Weye, DrawList& list) {
  for (const BandVertex& vertex : scene.band_vertices)
    list.band_vertices.push_back({glm::vec4(vertex.p_W, vertex.opacity), glm::vec4(vertex.color, vertex.use)});
  for (std::size_t i = 0; i < scene.bands.size(); ++i) {
    const Band& band = scene.bands[i];
    glm::vec3 sum(0.0F);
    for (std::uint32_t k = 0; k < band.n_indices; ++k)
      sum += scene.band_vertices[scene.band_indices[band.first_index + k]].p_W;
    list.band_order.push_back(static_cast<std::uint32_t>(i));
    list.band_distances.push_back(band.n_indices == 0 ? 0.0F
                                                      : glm::length(sum / static_cast<float>(band.n_indices) - p_Weye));
  }
  // Those on faces first: they lie behind what stands before the wall.
  std::sort(list.band_order.begin(), list.band_order.end(), [&](std::uint32_t a, std::uint32_t b) {
    if (scene.bands[a].lies_on_face != scene.bands[b].lies_on_face) return scene.bands[a].lies_on_face;
    if (scene.bands[a].lies_on_face || list.band_distances[a] == list.band_distances[b]) return a < b;
    return list.band_distances[a] > list.band_distances[b];
  });
}

void clear(DrawList& list) {
  list.meshes.clear();
  list.batches.clear();
  list.outlined_batches.clear();
  list.limbs.clear();
  list.outlined_limbs.clear();
  list.arrows.clear();
  list.discs.clear();
  list.lines.clear();
  list.band_vertices.clear();
  list.band_order.clear();
  list.band_distances.clear();
}

}  // namespace

void make_draw_list(const RenderScene& scene, const glm::vec3& p_Weye,
                    const std::function<int(const MeshHandle&)>& find_mesh, DrawList& list) {
  clear(list);
  add_meshes(scene, find_mesh, list);
  add_limbs(scene, list);
  add_arrows(scene, list);
  add_flat(scene, list);
  add_bands(scene, p_Weye, list);
}

}  // namespace steepwright::viewer::render
