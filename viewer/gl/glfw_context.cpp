#include "viewer/gl/glfw_context.h"

#include <epoxy/gl.h>
// After epoxy: GLFW would include the system's GL header.
#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <utility>

namespace steepwright::viewer::gl {

namespace {

std::string last_error() {
  const char* text = nullptr;
  glfwGetError(&text);
  return text != nullptr ? text : "no reason given";
}

/// GLFW runs as long as one of these lives; windows belong to the main thread, as GLFW asks.
class GlfwSession {
 public:
  [[nodiscard]] static std::shared_ptr<GlfwSession> get() {
    static std::weak_ptr<GlfwSession> running;
    std::shared_ptr<GlfwSession> session = running.lock();
    if (session == nullptr) {
      if (glfwInit() == GLFW_FALSE) return nullptr;
      session = std::shared_ptr<GlfwSession>(new GlfwSession);
      running = session;
    }
    return session;
  }
  ~GlfwSession() { glfwTerminate(); }
  GlfwSession(const GlfwSession&) = delete;
  GlfwSession& operator=(const GlfwSession&) = delete;

 private:
  GlfwSession() = default;
};

struct WindowSize {
  int width = 0, height = 0;
};

// No larger than the screen has room for, title bar included.
WindowSize fit_to_screen(const WindowOptions& options) {
  constexpr int kTitle = 40;
  constexpr int kLeast = 320;
  int left = 0;
  int top = 0;
  WindowSize room;
  GLFWmonitor* monitor = glfwGetPrimaryMonitor();
  if (monitor != nullptr) glfwGetMonitorWorkarea(monitor, &left, &top, &room.width, &room.height);
  if (room.width < kLeast || room.height < kLeast) return {options.width, options.height};
  float scale = 1.0F;
  if (options.is_scaled) glfwGetMonitorContentScale(monitor, &scale, nullptr);
  const auto fit = [scale](int wanted, int most) {
    return std::min(wanted, static_cast<int>(static_cast<float>(most) / std::max(scale, 1.0F)));
  };
  return {fit(options.width, room.width), fit(options.height, room.height - kTitle)};
}

class GlfwContext final : public WindowContext {
 public:
  GlfwContext() = default;
  ~GlfwContext() override {
    if (window_ != nullptr) glfwDestroyWindow(window_);
  }

  Result<void> open(const WindowOptions& options) {
    session_ = GlfwSession::get();
    if (session_ == nullptr) {
      return failure(fmt::format("no window can be opened: {}", last_error()),
                     "start it in a graphical session, or use --render to draw into a file");
    }
    glfwDefaultWindowHints();
    glfwWindowHint(GLFW_CONTEXT_VERSION_MAJOR, 3);
    glfwWindowHint(GLFW_CONTEXT_VERSION_MINOR, 3);
    glfwWindowHint(GLFW_OPENGL_PROFILE, GLFW_OPENGL_CORE_PROFILE);
    glfwWindowHint(GLFW_OPENGL_FORWARD_COMPAT, GLFW_TRUE);
    glfwWindowHint(GLFW_OPENGL_DEBUG_CONTEXT, options.context.is_debug ? GLFW_TRUE : GLFW_FALSE);
    glfwWindowHint(GLFW_VISIBLE, options.is_visible ? GLFW_TRUE : GLFW_FALSE);
    glfwWindowHint(GLFW_SCALE_TO_MONITOR, options.is_scaled ? GLFW_TRUE : GLFW_FALSE);
    // The renderer smooths edges in a framebuffer of its own.
    glfwWindowHint(GLFW_SAMPLES, 0);
    glfwWindowHint(GLFW_DEPTH_BITS, 0);
    glfwWindowHint(GLFW_STENCIL_BITS, 0);
    const WindowSize size = fit_to_screen(options);
    window_ = glfwCreateWindow(size.width, size.height, options.title.c_str(), nullptr, nullptr);
    if (window_ == nullptr) {
      return failure(fmt::format("no window with OpenGL 3.3 can be opened: {}", last_error()),
                     "update the graphics driver, or set LIBGL_ALWAYS_SOFTWARE=1 to draw without the graphics card");
    }
    glfwMakeContextCurrent(window_);
    glfwSwapInterval(options.has_vsync ? 1 : 0);
    return start(options.context);
  }

  void make_current() override { glfwMakeContextCurrent(window_); }
  [[nodiscard]] GLFWwindow* window() const override { return window_; }

 private:
  std::shared_ptr<GlfwSession> session_;
  GLFWwindow* window_ = nullptr;
};

}  // namespace

Result<std::unique_ptr<WindowContext>> make_window_context(const WindowOptions& options) {
  auto context = std::make_unique<GlfwContext>();
  if (Result<void> opened = context->open(options); !opened) return tl::unexpected(opened.error());
  return context;
}

}  // namespace steepwright::viewer::gl
