#include "viewer/app/window.h"

#include "viewer/app/app.h"
#include "viewer/app/presenter.h"
#include "viewer/gl/glfw_context.h"
#include "viewer/render/convert.h"

#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <fmt/format.h>
#include <imgui/imgui.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstdio>

namespace steepwright::viewer {

namespace {

App& app_of(GLFWwindow* window) { return *static_cast<App*>(glfwGetWindowUserPointer(window)); }

// Letters by what stands on the key, not by where it is: Ctrl+Z is where the keyboard has its Z.
int translate_key(int key, int scancode) {
  const char* name = glfwGetKeyName(key, scancode);
  if (name == nullptr || name[0] == '\0' || name[1] != '\0') return key;
  if (name[0] >= 'a' && name[0] <= 'z') return GLFW_KEY_A + (name[0] - 'a');
  if (name[0] >= 'A' && name[0] <= 'Z') return GLFW_KEY_A + (name[0] - 'A');
  return key;
}

void on_key(GLFWwindow* window, int key, int scancode, int action, int) {
  if (key == GLFW_KEY_UNKNOWN || action == GLFW_REPEAT) return;
  app_of(window).push(KeyChanged{translate_key(key, scancode), action == GLFW_PRESS});
}

void on_drop(GLFWwindow* window, int count, const char** paths) {
  std::vector<std::filesystem::path> files;
  files.reserve(static_cast<std::size_t>(count));
  for (int i = 0; i < count; ++i) files.emplace_back(paths[i]);
  app_of(window).drop_files(files);
}

void set_callbacks(GLFWwindow* window) {
  glfwSetKeyCallback(window, on_key);
  glfwSetDropCallback(window, on_drop);
  glfwSetCharCallback(window, [](GLFWwindow* w, unsigned int c) { app_of(w).push(TextTyped{c}); });
  glfwSetMouseButtonCallback(window, [](GLFWwindow* w, int button, int action, int) {
    app_of(w).push(ButtonChanged{button, action == GLFW_PRESS});
  });
  glfwSetScrollCallback(window, [](GLFWwindow* w, double x, double y) { app_of(w).push(WheelTurned{x, y}); });
  glfwSetCursorEnterCallback(window, [](GLFWwindow* w, int entered) {
    if (entered == GLFW_FALSE) app_of(w).push(PointerLeft{});
  });
  glfwSetWindowFocusCallback(window, [](GLFWwindow* w, int focused) {
    if (focused == GLFW_FALSE) app_of(w).push(FocusLost{});
  });
  glfwSetCursorPosCallback(window, [](GLFWwindow* w, double x, double y) {
    // The pointer counts in screen coordinates, the picture in pixels.
    int width = 1;
    int height = 1;
    int width_px = 1;
    int height_px = 1;
    glfwGetWindowSize(w, &width, &height);
    glfwGetFramebufferSize(w, &width_px, &height_px);
    app_of(w).push(PointerMoved{x * width_px / std::max(width, 1), y * height_px / std::max(height, 1)});
  });
  glfwSetWindowCloseCallback(window, [](GLFWwindow* w) {
    glfwSetWindowShouldClose(w, GLFW_FALSE);
    app_of(w).ask_close();
  });
}

void set_clipboard(GLFWwindow* window) {
  ImGuiIO& io = ImGui::GetIO();
  io.ClipboardUserData = window;
  io.GetClipboardTextFn = [](void* w) { return glfwGetClipboardString(static_cast<GLFWwindow*>(w)); };
  io.SetClipboardTextFn = [](void* w, const char* text) { glfwSetClipboardString(static_cast<GLFWwindow*>(w), text); };
}

/// The shapes of the pointer over fields and edges.
class Cursors {
 public:
  Cursors() {
    shapes_[ImGuiMouseCursor_TextInput] = glfwCreateStandardCursor(GLFW_IBEAM_CURSOR);
    shapes_[ImGuiMouseCursor_Hand] = glfwCreateStandardCursor(GLFW_HAND_CURSOR);
    shapes_[ImGuiMouseCursor_ResizeEW] = glfwCreateStandardCursor(GLFW_HRESIZE_CURSOR);
    shapes_[ImGuiMouseCursor_ResizeNS] = glfwCreateStandardCursor(GLFW_VRESIZE_CURSOR);
  }
  ~Cursors() {
    for (GLFWcursor* shape : shapes_) {
      if (shape != nullptr) glfwDestroyCursor(shape);
    }
  }
  Cursors(const Cursors&) = delete;
  Cursors& operator=(const Cursors&) = delete;

  void show(GLFWwindow* window) {
    const ImGuiMouseCursor wanted = ImGui::GetMouseCursor();
    if (wanted == shown_ || wanted < 0) return;
    shown_ = wanted;
    glfwSetCursor(window, shapes_.at(static_cast<std::size_t>(wanted)));
  }

 private:
  std::array<GLFWcursor*, ImGuiMouseCursor_COUNT> shapes_{};
  ImGuiMouseCursor shown_ = ImGuiMouseCursor_Arrow;
};

// What a test waits for: one line a change. Efforts: of the moves in their order, percent.
std::string describe_state(const App& app) {
  const std::uint64_t revision = app.document().revision();
  const move::Scene& scene = app.document().scene();
  std::string text =
      fmt::format("state revision={} solved={} modified={} writing={} dialog={} holds={} moves={} efforts=", revision,
                  app.results().is_done(revision), app.document().is_modified(), app.is_at_files(),
                  static_cast<int>(app.ui_state().dialog), scene.holds.size(), scene.moves.size());
  for (const move::Move& move : scene.moves) {
    const MoveAnswer* answer = app.results().find(move.name);
    text += answer == nullptr ? "?," : fmt::format("{:.0f},", 100.0 * answer->result->effort_peak);
  }
  return text + "\n";
}

// Where a test clicks: the widgets' middles and the holds' fronts in the picture, "name@x,y;".
std::string describe_marks(const App& app) {
  std::string text = "marks ";
  const auto add = [&text](std::string_view name, double x, double y) {
    text += fmt::format("{}@{:.0f},{:.0f};", name, x, y);
  };
  for (const auto& [name, rect] : app.marks().all()) add(name, rect.middle_x(), rect.middle_y());
  const auto view = app.marks().find("view");
  if (!view) return text + "\n";
  for (const move::PlacedHold& hold : app.document().scene().holds) {
    const Vec3 front_W = hold.X_WH * Vec3(0.0, 0.0, hold.hold.shape.protrusion_m);
    const auto pixel = find_pixel(app.view().camera(), app.view().viewport(), render::to_dvec3(front_W));
    if (pixel) add("picture/" + hold.name, view->left + pixel->x, view->top + pixel->y);
  }
  return text + "\n";
}

constexpr std::chrono::milliseconds kShortRead{250};

// Until input or an answer comes, or something is due.
void sleep(double most_s) {
  constexpr double kLeast_s = 0.02;
  if (std::isfinite(most_s)) {
    glfwWaitEventsTimeout(std::max(most_s, kLeast_s));
  } else {
    glfwWaitEvents();
  }
}

void loop(App& app, Presenter& presenter, GLFWwindow* window, Presenting presenting, bool prints_state) {
  Cursors cursors;
  std::string printed;
  double last_s = glfwGetTime();
  while (!app.is_closed()) {
    if (app.wants_frame()) {
      glfwPollEvents();
    } else {
      sleep(app.find_rest_s());
    }
    int width_px = 0;
    int height_px = 0;
    glfwGetFramebufferSize(window, &width_px, &height_px);
    if (width_px == 0 || height_px == 0) {  // an icon
      glfwWaitEvents();
      continue;
    }
    float scale = 1.0F;
    glfwGetWindowContentScale(window, &scale, nullptr);
    app.set_display(width_px, height_px, scale);
    const double now_s = glfwGetTime();
    app.frame(now_s - last_s);
    last_s = now_s;
    presenter.draw(width_px, height_px, app.view().shown_picture(), presenting);
    cursors.show(window);
    glfwSwapBuffers(window);
    if (!prints_state) continue;
    if (std::string state = describe_marks(app) + describe_state(app); state != printed) {
      std::fputs(state.c_str(), stdout);
      std::fflush(stdout);
      printed = std::move(state);
    }
  }
}

}  // namespace

Result<void> run_window(const WindowRunOptions& options) {
  auto context = gl::make_window_context();
  if (!context) return tl::unexpected<Findings>(context.error());
  auto renderer = render::Renderer::make(**context);
  if (!renderer) return tl::unexpected<Findings>(renderer.error());
  AppOptions app_options;
  app_options.folders = find_user_folders();
  app_options.scene = options.scene;
  app_options.renderer = renderer->get();
  const bool is_software = render::is_software((*context)->info());
  if (is_software) app_options.first_look = FirstLook::kPlain;
  app_options.has_marks = options.prints_state;
  app_options.wake = [] { glfwPostEmptyEvent(); };
  auto app = App::make(std::move(app_options));
  if (!app) return tl::unexpected<Findings>(app.error());
  auto presenter = Presenter::make();
  if (!presenter) return tl::unexpected<Findings>(presenter.error());
  (*app)->set_font_handler([&presenter] { presenter->update_fonts(); });
  GLFWwindow* window = (*context)->window();
  glfwSetWindowUserPointer(window, app->get());
  set_callbacks(window);
  set_clipboard(window);
  // Most scenes are read before the window is seen: what is wrong with them is told to whoever started it.
  if (auto read = (*app)->wait_first_scene(kShortRead); !read) return read;
  loop(**app, *presenter, window, is_software ? Presenting::kChanges : Presenting::kWhole, options.prints_state);
  if (!(*app)->first_scene_faults().empty()) return tl::unexpected<Findings>((*app)->first_scene_faults());
  return {};
}

}  // namespace steepwright::viewer
