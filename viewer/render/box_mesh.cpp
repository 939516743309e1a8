#include "viewer/render/box_mesh.h"

#include <glm/gtc/matrix_transform.hpp>

#include <memory>

namespace steepwright::viewer::render {

namespace {

MeshHandle make_cube(bool is_seen_from_within) {
  MeshData data;
  for (int axis = 0; axis < 3; ++axis) {
    for (const float side : {-1.0F, 1.0F}) {
      glm::vec3 normal(0.0F);
      glm::vec3 u(0.0F);
      glm::vec3 v(0.0F);
      normal[axis] = side;
      u[(axis + 1) % 3] = side;
      v[(axis + 2) % 3] = 1.0F;
      const auto first = static_cast<std::uint32_t>(data.positions.size());
      for (const glm::vec2 corner : {glm::vec2(-1, -1), glm::vec2(1, -1), glm::vec2(1, 1), glm::vec2(-1, 1)}) {
        data.positions.push_back(0.5F * (normal + corner.x * u + corner.y * v));
        data.normals.push_back(is_seen_from_within ? -normal : normal);
      }
      for (const std::uint32_t step : {0U, 1U, 2U, 0U, 2U, 3U})
        data.indices.push_back(first + (is_seen_from_within ? (4U - step) % 4U : step));
    }
  }
  return std::make_shared<const MeshData>(std::move(data));
}

}  // namespace

const MeshHandle& unit_box() {
  static const MeshHandle box = make_cube(false);
  return box;
}

const MeshHandle& unit_room() {
  static const MeshHandle room = make_cube(true);
  return room;
}

glm::mat4 find_box_pose(const glm::mat4& X_WA, const glm::vec3& lower_A, const glm::vec3& upper_A) {
  return glm::scale(glm::translate(X_WA, 0.5F * (lower_A + upper_A)), upper_A - lower_A);
}

}  // namespace steepwright::viewer::render
