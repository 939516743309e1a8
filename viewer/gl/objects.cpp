#include "viewer/gl/objects.h"

#include <fmt/format.h>

#include <algorithm>
#include <string>

namespace steepwright::viewer::gl {

namespace {

class Shader {
 public:
  Shader(GLenum stage, std::string_view source) : name_(glCreateShader(stage)) {
    const GLchar* text = source.data();
    const auto length = static_cast<GLint>(source.size());
    glShaderSource(name_, 1, &text, &length);
    glCompileShader(name_);
  }
  ~Shader() { glDeleteShader(name_); }
  Shader(const Shader&) = delete;
  Shader& operator=(const Shader&) = delete;

  [[nodiscard]] GLuint name() const { return name_; }
  [[nodiscard]] bool is_compiled() const {
    GLint status = GL_FALSE;
    glGetShaderiv(name_, GL_COMPILE_STATUS, &status);
    return status == GL_TRUE;
  }
  [[nodiscard]] std::string log() const {
    GLint length = 0;
    glGetShaderiv(name_, GL_INFO_LOG_LENGTH, &length);
    std::string text(static_cast<std::size_t>(std::max(length, 1)), '\0');
    glGetShaderInfoLog(name_, length, &length, text.data());
    text.resize(static_cast<std::size_t>(std::max(length, 0)));
    return text;
  }

 private:
  GLuint name_ = 0;
};

std::string link_log(GLuint program) {
  GLint length = 0;
  glGetProgramiv(program, GL_INFO_LOG_LENGTH, &length);
  std::string text(static_cast<std::size_t>(std::max(length, 1)), '\0');
  glGetProgramInfoLog(program, length, &length, text.data());
  text.resize(static_cast<std::size_t>(std::max(length, 0)));
  return text;
}

}  // namespace

Result<Program> make_program(std::string_view name, std::string_view vertex_source, std::string_view fragment_source) {
  constexpr const char* kRemedy = "update the graphics driver";
  const Shader vertex(GL_VERTEX_SHADER, vertex_source);
  if (!vertex.is_compiled())
    return failure(fmt::format("the vertex shader '{}' does not compile: {}", name, vertex.log()), kRemedy);
  const Shader fragment(GL_FRAGMENT_SHADER, fragment_source);
  if (!fragment.is_compiled())
    return failure(fmt::format("the fragment shader '{}' does not compile: {}", name, fragment.log()), kRemedy);
  Program program = Program::make();
  glAttachShader(program.name(), vertex.name());
  glAttachShader(program.name(), fragment.name());
  glLinkProgram(program.name());
  GLint status = GL_FALSE;
  glGetProgramiv(program.name(), GL_LINK_STATUS, &status);
  if (status != GL_TRUE)
    return failure(fmt::format("the shader '{}' does not link: {}", name, link_log(program.name())), kRemedy);
  glDetachShader(program.name(), vertex.name());
  glDetachShader(program.name(), fragment.name());
  return program;
}

}  // namespace steepwright::viewer::gl
