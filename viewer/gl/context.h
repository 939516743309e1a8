#pragma once

/// An OpenGL 3.3 core context, whatever made it: off-screen without any display (here), or a window (glfw_context.h).
/// All GL calls of the program go through epoxy; whoever includes a GL header includes <epoxy/gl.h>.

#include "engine/core/error.h"

#include <functional>
#include <memory>
#include <string>
#include <string_view>

namespace steepwright::viewer::gl {

struct ContextOptions {
  bool is_debug = false;  ///< ask the driver for its own messages (KHR_debug); slower
};

/// What the driver says of itself.
struct ContextInfo {
  std::string vendor, renderer, version;
  int version_number = 0;  ///< 33 for 3.3
  int most_samples = 1;    ///< of a multisampled colour buffer
  int most_size_px = 0;    ///< width or height of a picture
  bool has_debug_output = false;
};

/// Called with one sentence for each error that GL reports; on the thread of the GL call.
using ErrorHandler = std::function<void(std::string_view message)>;

class GlContext {
 public:
  virtual ~GlContext() = default;
  GlContext(const GlContext&) = delete;
  GlContext& operator=(const GlContext&) = delete;

  /// Makes the context the calling thread's. It is current after it was made.
  virtual void make_current() = 0;

  [[nodiscard]] const ContextInfo& info() const { return info_; }

  /// Replaces what happens on a GL error; at first it is written to stderr.
  void set_error_handler(ErrorHandler handler) { handler_ = std::move(handler); }

  /// Fetches the errors since the last call and hands them on. `pass` says where: "shadow pass". Costs little; called
  /// by the renderer after each pass.
  void check_errors(std::string_view pass);

  /// Hands a fault on to the handler.
  void report(std::string_view message) const;

 protected:
  GlContext() = default;
  /// For makers, once current: reads info(), turns debug output on. Fails when the version is below 3.3.
  [[nodiscard]] Result<void> start(const ContextOptions& options);

 private:
  friend struct DebugCallback;
  ContextInfo info_;
  ErrorHandler handler_;
};

/// A context without window, display or X, by EGL_PLATFORM_SURFACELESS_MESA: draw into framebuffer objects only.
/// Errors say what is missing and what to install.
[[nodiscard]] Result<std::unique_ptr<GlContext>> make_surfaceless_context(const ContextOptions& options = {});

}  // namespace steepwright::viewer::gl
