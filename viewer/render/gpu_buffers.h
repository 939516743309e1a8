#pragma once

/// Buffers that are filled anew each frame, and how a shader reads rows from them.

#include "viewer/gl/objects.h"

#include <cstddef>
#include <span>
#include <vector>

namespace steepwright::viewer::render {

/// A buffer whose whole content is replaced at a time; grows by doubling.
class StreamBuffer {
 public:
  explicit StreamBuffer(GLenum target) : target_(target), buffer_(gl::Buffer::make()) {}

  template <typename T>
  void fill(const std::vector<T>& rows) {
    fill_bytes(rows.data(), rows.size() * sizeof(T));
  }
  void fill_bytes(const void* bytes, std::size_t size);
  [[nodiscard]] GLuint name() const { return buffer_.name(); }

 private:
  GLenum target_;
  gl::Buffer buffer_;
  std::size_t capacity_ = 0;
};

/// One input of a vertex shader that is read once a row.
struct RowAttribute {
  GLuint location = 0;
  GLint n_values = 4;
  std::size_t offset = 0;  ///< in the row
  bool is_whole = false;   ///< unsigned whole numbers
};

/// Points the bound vertex array at rows from `first_row` on. GL 3.3 has no first instance in its draw calls.
void point_at_rows(const StreamBuffer& buffer, std::span<const RowAttribute> attributes, std::size_t row_size,
                   int first_row);

}  // namespace steepwright::viewer::render
