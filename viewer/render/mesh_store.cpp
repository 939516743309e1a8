#include "viewer/render/mesh_store.h"

#include <cstddef>
#include <utility>

namespace steepwright::viewer::render {

namespace {

template <typename T>
void fill_fixed(GLenum target, const gl::Buffer& buffer, const std::vector<T>& values) {
  glBindBuffer(target, buffer.name());
  glBufferData(target, static_cast<GLsizeiptr>(values.size() * sizeof(T)), values.data(), GL_STATIC_DRAW);
}

}  // namespace

MeshStore::Slot MeshStore::upload(const MeshHandle& mesh) {
  Slot slot{mesh,
            gl::VertexArray::make(),
            gl::Buffer::make(),
            gl::Buffer::make(),
            gl::Buffer::make(),
            static_cast<GLsizei>(mesh->indices.size()),
            {glm::dvec3(1e300), glm::dvec3(-1e300)}};
  glBindVertexArray(slot.array.name());
  fill_fixed(GL_ARRAY_BUFFER, slot.positions, mesh->positions);
  glVertexAttribPointer(0, 3, GL_FLOAT, GL_FALSE, 0, nullptr);
  glEnableVertexAttribArray(0);
  fill_fixed(GL_ARRAY_BUFFER, slot.normals, mesh->normals);
  glVertexAttribPointer(1, 3, GL_FLOAT, GL_FALSE, 0, nullptr);
  glEnableVertexAttribArray(1);
  fill_fixed(GL_ELEMENT_ARRAY_BUFFER, slot.indices, mesh->indices);
  glBindVertexArray(0);
  for (const glm::vec3& p_M : mesh->positions) {
    slot.box.lower = glm::min(slot.box.lower, glm::dvec3(p_M));
    slot.box.upper = glm::max(slot.box.upper, glm::dvec3(p_M));
  }
  return slot;
}

int MeshStore::find(const MeshHandle& mesh) {
  const auto known = numbers_.find(mesh.get());
  if (known != numbers_.end()) return known->second;
  if (mesh->indices.empty() || mesh->normals.size() != mesh->positions.size()) return -1;
  int number = static_cast<int>(slots_.size());
  if (free_slots_.empty()) {
    slots_.push_back(upload(mesh));
  } else {
    number = free_slots_.back();
    free_slots_.pop_back();
    slots_[static_cast<std::size_t>(number)] = upload(mesh);
  }
  numbers_.emplace(mesh.get(), number);
  return number;
}

void MeshStore::drop_unused() {
  for (std::size_t i = 0; i < slots_.size(); ++i) {
    if (slots_[i].mesh == nullptr || slots_[i].mesh.use_count() > 1) continue;
    numbers_.erase(slots_[i].mesh.get());
    slots_[i] = Slot{};
    free_slots_.push_back(static_cast<int>(i));
  }
}

}  // namespace steepwright::viewer::render
