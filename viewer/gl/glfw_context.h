#pragma once

/// A window with an OpenGL 3.3 core context.

#include "viewer/gl/context.h"

#include <memory>
#include <string>

struct GLFWwindow;

namespace steepwright::viewer::gl {

struct WindowOptions {
  std::string title = "Steepwright";
  int width = 1400, height = 900;  ///< screen coordinates; times the monitor's scale when is_scaled
  bool is_visible = true;
  bool is_scaled = true;  ///< GLFW_SCALE_TO_MONITOR
  bool has_vsync = true;
  ContextOptions context;
};

class WindowContext : public GlContext {
 public:
  /// For callbacks, input and swapping buffers, which are the application's matter.
  [[nodiscard]] virtual GLFWwindow* window() const = 0;
};

/// Starts GLFW and opens the window. Errors: no display; no OpenGL 3.3; with what to do. GLFW is stopped with the last
/// window.
[[nodiscard]] Result<std::unique_ptr<WindowContext>> make_window_context(const WindowOptions& options = {});

}  // namespace steepwright::viewer::gl
