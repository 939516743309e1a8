#include "viewer/gl/context.h"

#include <epoxy/egl.h>
#include <fmt/format.h>

#include <array>
#include <memory>

#if defined(__SANITIZE_ADDRESS__)
#define STEEPWRIGHT_HAS_ASAN 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define STEEPWRIGHT_HAS_ASAN 1
#endif
#endif
#ifndef STEEPWRIGHT_HAS_ASAN
#define STEEPWRIGHT_HAS_ASAN 0
#endif

namespace steepwright::viewer::gl {

namespace {

constexpr const char* kRemedy = "install the packages libegl1 and libgl1-mesa-dri";

/// Mesa leaves memory behind when it unloads its driver, and a leak report cannot name an unloaded module to pass it
/// over: sanitizer builds keep the driver loaded.
constexpr bool kKeepsDriver = STEEPWRIGHT_HAS_ASAN != 0;

class SurfacelessContext final : public GlContext {
 public:
  SurfacelessContext() = default;
  ~SurfacelessContext() override {
    if (display_ == EGL_NO_DISPLAY) return;
    eglMakeCurrent(display_, EGL_NO_SURFACE, EGL_NO_SURFACE, EGL_NO_CONTEXT);
    if (context_ != EGL_NO_CONTEXT) eglDestroyContext(display_, context_);
    if (!kKeepsDriver) eglTerminate(display_);
  }

  Result<void> open(const ContextOptions& options) {
    if (!epoxy_has_egl_extension(EGL_NO_DISPLAY, "EGL_MESA_platform_surfaceless"))
      return failure("EGL cannot draw without a display (no EGL_MESA_platform_surfaceless)", kRemedy);
    display_ = eglGetPlatformDisplayEXT(EGL_PLATFORM_SURFACELESS_MESA, EGL_DEFAULT_DISPLAY, nullptr);
    if (display_ == EGL_NO_DISPLAY || eglInitialize(display_, nullptr, nullptr) == EGL_FALSE)
      return fail("EGL does not start");
    if (eglBindAPI(EGL_OPENGL_API) == EGL_FALSE) return fail("EGL has no desktop OpenGL");
    const std::array<EGLint, 9> attributes = {EGL_CONTEXT_MAJOR_VERSION,
                                              3,
                                              EGL_CONTEXT_MINOR_VERSION,
                                              3,
                                              EGL_CONTEXT_OPENGL_PROFILE_MASK,
                                              EGL_CONTEXT_OPENGL_CORE_PROFILE_BIT,
                                              EGL_CONTEXT_OPENGL_DEBUG,
                                              options.is_debug ? EGL_TRUE : EGL_FALSE,
                                              EGL_NONE};
    context_ = eglCreateContext(display_, EGL_NO_CONFIG_KHR, EGL_NO_CONTEXT, attributes.data());
    if (context_ == EGL_NO_CONTEXT) return fail("no OpenGL 3.3 core context");
    if (eglMakeCurrent(display_, EGL_NO_SURFACE, EGL_NO_SURFACE, context_) == EGL_FALSE)
      return fail("the OpenGL context cannot be used without a surface");
    return start(options);
  }

  void make_current() override { eglMakeCurrent(display_, EGL_NO_SURFACE, EGL_NO_SURFACE, context_); }

 private:
  static tl::unexpected<Findings> fail(std::string_view what) {
    return failure(fmt::format("{} (EGL error 0x{:x})", what, eglGetError()), kRemedy);
  }

  EGLDisplay display_ = EGL_NO_DISPLAY;
  EGLContext context_ = EGL_NO_CONTEXT;
};

}  // namespace

Result<std::unique_ptr<GlContext>> make_surfaceless_context(const ContextOptions& options) {
  auto context = std::make_unique<SurfacelessContext>();
  if (Result<void> opened = context->open(options); !opened) return tl::unexpected(opened.error());
  return context;
}

}  // namespace steepwright::viewer::gl
