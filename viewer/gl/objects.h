#pragma once

/// GL objects that free themselves. The context that made them must be current when they die.

#include "engine/core/error.h"

#include <epoxy/gl.h>

#include <string_view>
#include <utility>

namespace steepwright::viewer::gl {

/// One name of GL, moved but never copied. `Kind` makes and frees it.
template <typename Kind>
class Object {
 public:
  Object() = default;
  ~Object() { reset(); }
  Object(Object&& other) noexcept : name_(std::exchange(other.name_, 0)) {}
  Object& operator=(Object&& other) noexcept {
    if (this != &other) {
      reset();
      name_ = std::exchange(other.name_, 0);
    }
    return *this;
  }
  Object(const Object&) = delete;
  Object& operator=(const Object&) = delete;

  [[nodiscard]] static Object make() {
    Object object;
    object.name_ = Kind::make();
    return object;
  }
  void reset() {
    if (name_ != 0) Kind::free(name_);
    name_ = 0;
  }
  [[nodiscard]] GLuint name() const { return name_; }

 private:
  GLuint name_ = 0;
};

struct BufferKind {
  static GLuint make() {
    GLuint name = 0;
    glGenBuffers(1, &name);
    return name;
  }
  static void free(GLuint name) { glDeleteBuffers(1, &name); }
};
struct VertexArrayKind {
  static GLuint make() {
    GLuint name = 0;
    glGenVertexArrays(1, &name);
    return name;
  }
  static void free(GLuint name) { glDeleteVertexArrays(1, &name); }
};
struct TextureKind {
  static GLuint make() {
    GLuint name = 0;
    glGenTextures(1, &name);
    return name;
  }
  static void free(GLuint name) { glDeleteTextures(1, &name); }
};
struct RenderbufferKind {
  static GLuint make() {
    GLuint name = 0;
    glGenRenderbuffers(1, &name);
    return name;
  }
  static void free(GLuint name) { glDeleteRenderbuffers(1, &name); }
};
struct FramebufferKind {
  static GLuint make() {
    GLuint name = 0;
    glGenFramebuffers(1, &name);
    return name;
  }
  static void free(GLuint name) { glDeleteFramebuffers(1, &name); }
};
struct ProgramKind {
  static GLuint make() { return glCreateProgram(); }
  static void free(GLuint name) { glDeleteProgram(name); }
};

using Buffer = Object<BufferKind>;
using VertexArray = Object<VertexArrayKind>;
using Texture = Object<TextureKind>;
using Renderbuffer = Object<RenderbufferKind>;
using Framebuffer = Object<FramebufferKind>;
using Program = Object<ProgramKind>;

/// Compiles and links. `name` is what an error calls it; the driver's message is passed on.
[[nodiscard]] Result<Program> make_program(std::string_view name, std::string_view vertex_source,
                                           std::string_view fragment_source);

}  // namespace steepwright::viewer::gl
