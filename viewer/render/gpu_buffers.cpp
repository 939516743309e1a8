#include "viewer/render/gpu_buffers.h"

#include <algorithm>
#include <cstdint>

namespace steepwright::viewer::render {

void StreamBuffer::fill_bytes(const void* bytes, std::size_t size) {
  constexpr std::size_t kLeastCapacity = 4096;
  while (capacity_ < size) capacity_ = std::max(2 * capacity_, kLeastCapacity);
  if (size == 0) return;
  glBindBuffer(target_, buffer_.name());
  // A new store each time: the driver need not wait for the frame that still reads the old one.
  glBufferData(target_, static_cast<GLsizeiptr>(capacity_), nullptr, GL_STREAM_DRAW);
  glBufferSubData(target_, 0, static_cast<GLsizeiptr>(size), bytes);
}

void point_at_rows(const StreamBuffer& buffer, std::span<const RowAttribute> attributes, std::size_t row_size,
                   int first_row) {
  glBindBuffer(GL_ARRAY_BUFFER, buffer.name());
  const std::size_t start = row_size * static_cast<std::size_t>(first_row);
  for (const RowAttribute& attribute : attributes) {
    const auto* place = reinterpret_cast<const void*>(static_cast<std::uintptr_t>(start + attribute.offset));
    if (attribute.is_whole) {
      glVertexAttribIPointer(attribute.location, attribute.n_values, GL_UNSIGNED_INT, static_cast<GLsizei>(row_size),
                             place);
    } else {
      glVertexAttribPointer(attribute.location, attribute.n_values, GL_FLOAT, GL_FALSE, static_cast<GLsizei>(row_size),
                            place);
    }
    glEnableVertexAttribArray(attribute.location);
    glVertexAttribDivisor(attribute.location, 1);
  }
}

}  // namespace steepwright::viewer::render
