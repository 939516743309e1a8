#pragma once

/// Meshes on the GPU, by their handles.

#include "viewer/camera/camera.h"
#include "viewer/gl/objects.h"
#include "viewer/render/render_scene.h"

#include <unordered_map>
#include <vector>

namespace steepwright::viewer::render {

class MeshStore {
 public:
  /// Number of the mesh, copied to the GPU the first time; -1 for one without triangles. Holds on to the handle.
  int find(const MeshHandle& mesh);

  void bind(int mesh) const { glBindVertexArray(slots_[static_cast<std::size_t>(mesh)].array.name()); }
  [[nodiscard]] GLsizei n_indices(int mesh) const { return slots_[static_cast<std::size_t>(mesh)].n_indices; }
  /// In the mesh's own frame.
  [[nodiscard]] const Box& box(int mesh) const { return slots_[static_cast<std::size_t>(mesh)].box; }
  [[nodiscard]] int count() const { return static_cast<int>(numbers_.size()); }

  /// Drops the meshes that nobody else holds any more.
  void drop_unused();

 private:
  struct Slot {
    MeshHandle mesh;
    gl::VertexArray array;
    gl::Buffer positions, normals, indices;
    GLsizei n_indices = 0;
    Box box;
  };
  static Slot upload(const MeshHandle& mesh);

  std::vector<Slot> slots_;
  std::vector<int> free_slots_;
  std::unordered_map<const MeshData*, int> numbers_;
};

}  // namespace steepwright::viewer::render
