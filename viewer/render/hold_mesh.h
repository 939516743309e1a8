#pragma once

/// Holds as things to draw.

#include "engine/hold/mesh.h"
#include "engine/move/scene.h"
#include "viewer/render/render_scene.h"

#include <array>
#include <compare>
#include <map>
#include <string>

namespace steepwright::viewer::render {

/// Edges sharper than this stay sharp; flatter ones are shaded round.
inline constexpr double kCreaseAngle = 0.61;  // 35 deg

/// Mesh with normals that keep bevels: corners are shared by the faces that meet there at less than `crease_angle`,
/// and the larger a face and its corner, the more it counts, so that flat faces stay flat beside a rounding.
[[nodiscard]] MeshHandle make_shaded_mesh(const hold::Mesh& mesh, double crease_angle = kCreaseAngle);

/// Meshes of holds, made once a shape. Imported holds, whose mesh the scene does not keep, are drawn as `mesh` when
/// add() was called for their model, else as a rounded block of their size.
class HoldMeshes {
 public:
  /// The mesh of a hold's shape. Same dimensions, same handle.
  [[nodiscard]] MeshHandle find(const hold::Hold& hold);
  /// Gives the mesh of an imported hold, by the name of its shape.
  void add(const std::string& shape_name, MeshHandle mesh);

 private:
  /// Everything that the form depends on.
  struct Key {
    hold::Family family = hold::Family::kEdge;
    std::array<double, 8> sizes{};
    std::string name;  ///< imported ones
    auto operator<=>(const Key&) const = default;
  };
  [[nodiscard]] static Key key_of(const hold::Shape& shape);

  std::map<Key, MeshHandle> meshes_;
};

/// How a surface looks: neutral, so that colour stays free for use.
struct SurfaceLook {
  Material material = Material::kPlain;
  Color color{0.7F};
};
[[nodiscard]] SurfaceLook find_surface_look(hold::Surface surface);

/// Adds a placed hold with PickId kHold and its index. Returns its instance, to outline or tint.
MeshInstance& append_hold(const move::PlacedHold& hold, int index, HoldMeshes& meshes, RenderScene& scene);

}  // namespace steepwright::viewer::render
