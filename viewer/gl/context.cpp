#include "viewer/gl/context.h"

#include <epoxy/gl.h>
#include <fmt/format.h>

#include <algorithm>
#include <cstdio>

namespace steepwright::viewer::gl {

namespace {

constexpr int kLeastVersion = 33;

std::string text_of(GLenum name) {
  const auto* text = reinterpret_cast<const char*>(glGetString(name));
  return text != nullptr ? text : "";
}

GLint value_of(GLenum name) {
  GLint value = 0;
  glGetIntegerv(name, &value);
  return value;
}

std::string_view error_name(GLenum error) {
  switch (error) {
    case GL_INVALID_ENUM:
      return "invalid enum";
    case GL_INVALID_VALUE:
      return "invalid value";
    case GL_INVALID_OPERATION:
      return "invalid operation";
    case GL_INVALID_FRAMEBUFFER_OPERATION:
      return "invalid framebuffer operation";
    case GL_OUT_OF_MEMORY:
      return "out of memory";
    default:
      return "unknown error";
  }
}

}  // namespace

struct DebugCallback {
  static void APIENTRY call(GLenum, GLenum type, GLuint, GLenum severity, GLsizei length, const GLchar* message,
                            const void* user) {
    // Notes on performance differ from driver to driver; errors and undefined behaviour are ours to mend.
    const bool is_fault = type == GL_DEBUG_TYPE_ERROR || type == GL_DEBUG_TYPE_UNDEFINED_BEHAVIOR;
    if (!is_fault || severity == GL_DEBUG_SEVERITY_NOTIFICATION) return;
    const std::string_view text =
        length < 0 ? std::string_view(message) : std::string_view(message, static_cast<std::size_t>(length));
    static_cast<const GlContext*>(user)->report(text);
  }
};

Result<void> GlContext::start(const ContextOptions& options) {
  info_.version_number = epoxy_gl_version();
  info_.vendor = text_of(GL_VENDOR);
  info_.renderer = text_of(GL_RENDERER);
  info_.version = text_of(GL_VERSION);
  if (!epoxy_is_desktop_gl() || info_.version_number < kLeastVersion) {
    return failure(fmt::format("the graphics driver offers {} ({}), OpenGL 3.3 is needed",
                               info_.version.empty() ? "no OpenGL" : info_.version, info_.renderer),
                   "update the driver, or set LIBGL_ALWAYS_SOFTWARE=1 to draw without the graphics card");
  }
  info_.most_samples = value_of(GL_MAX_SAMPLES);
  info_.most_size_px = std::min(value_of(GL_MAX_TEXTURE_SIZE), value_of(GL_MAX_RENDERBUFFER_SIZE));
  info_.has_debug_output = options.is_debug && (info_.version_number >= 43 || epoxy_has_gl_extension("GL_KHR_debug"));
  if (info_.has_debug_output) {
    glEnable(GL_DEBUG_OUTPUT);
    glEnable(GL_DEBUG_OUTPUT_SYNCHRONOUS);
    glDebugMessageCallback(&DebugCallback::call, this);
  }
  return {};
}

void GlContext::report(std::string_view message) const {
  if (handler_) {
    handler_(message);
  } else {
    fmt::print(stderr, "OpenGL: {}\n", message);
  }
}

void GlContext::check_errors(std::string_view pass) {
  // Debug output has told already.
  const bool is_told = info_.has_debug_output;
  // A lost context may report without end.
  constexpr int kMostErrors = 8;
  for (int i = 0; i < kMostErrors; ++i) {
    const GLenum error = glGetError();
    if (error == GL_NO_ERROR) return;
    if (!is_told) report(fmt::format("{} in the {}", error_name(error), pass));
  }
}

}  // namespace steepwright::viewer::gl
