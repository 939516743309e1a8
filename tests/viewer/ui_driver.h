#pragma once

/// Drives the application as a person does: real input events, widgets found by their marks, a picture drawn without a
/// display. Everything that it keeps lies in a folder of its own.

#include "tests/viewer/opened.h"
#include "viewer/app/app.h"
#include "viewer/gl/context.h"

#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <imgui/imgui.h>

#include <chrono>
#include <memory>
#include <string>
#include <thread>
#include <vector>

namespace steepwright::tests {

class UiDriver {
 public:
  struct Options {
    std::filesystem::path scene = {};
    bool has_picture = true;  ///< draw the scene off-screen, so that things in it can be picked
    bool is_first_start = false;
    bool has_marks = true;              ///< widgets can be found by name
    std::filesystem::path folder = {};  ///< of settings and unsaved work; "": a new one
  };

  explicit UiDriver(Options options) {
    if (options.folder.empty()) own_folder_ = std::make_unique<TemporaryFolder>();
    const std::filesystem::path folder = own_folder_ ? own_folder_->path() : options.folder;
    viewer::AppOptions app;
    app.folders = {folder / "config", folder / "state"};
    app.scene = options.scene;
    app.has_marks = options.has_marks;
    if (options.has_picture) {
      context_ = std::move(*viewer::gl::make_surfaceless_context());
      renderer_ = std::move(*viewer::render::Renderer::make(*context_));
      context_->set_error_handler([this](std::string_view message) { gl_errors_.emplace_back(message); });
      app.renderer = renderer_.get();
    }
    if (!options.is_first_start) {
      viewer::Settings settings = viewer::load_settings(app.folders.config);
      settings.has_seen_cautions = true;
      settings.has_shadows = false;  // software drawing is slow
      settings.has_smooth_edges = false;
      settings.has_reach = false;  // so is a map
      EXPECT_TRUE(viewer::save_settings(app.folders.config, settings).has_value());
    }
    auto made = viewer::App::make(std::move(app));
    EXPECT_TRUE(made.has_value());
    app_ = std::move(*made);
    app_->set_display(kWidth, kHeight, 1.0F);
    app_->ui().is_playing = false;
    frames(3);
  }
  ~UiDriver() { EXPECT_THAT(gl_errors_, ::testing::IsEmpty()); }
  UiDriver(const UiDriver&) = delete;
  UiDriver& operator=(const UiDriver&) = delete;

  static constexpr int kWidth = 1100, kHeight = 760;
  static constexpr double kFrame_s = 1.0 / 60.0;

  [[nodiscard]] viewer::App& app() { return *app_; }
  [[nodiscard]] const viewer::Document& document() const { return app_->document(); }
  [[nodiscard]] std::string text() const { return text_of(app_->document()); }

  void frames(int count = 1) {
    for (int i = 0; i < count && !app_->is_closed(); ++i) app_->frame(kFrame_s);
  }
  /// Until the input is taken up and ImGui has settled.
  void settle() {
    frames(2);
    for (int i = 0; i < 200 && app_->wants_input_frame(); ++i) frames();
    frames(2);
  }
  /// Until everything of the present revision is solved; false after a minute.
  [[nodiscard]] bool wait_solved() {
    for (int i = 0; i < 12000; ++i) {
      frames();
      if (app_->results().is_done(document().revision())) return true;
      std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
    return false;
  }

  /// Until the selected move has an answer of the present revision; false after a minute.
  [[nodiscard]] bool wait_answer() {
    for (int i = 0; i < 12000; ++i) {
      frames();
      const auto& moves = document().scene().moves;
      const auto* answer = app_->results().find(moves[static_cast<std::size_t>(app_->ui().move)].name);
      if (answer != nullptr && answer->revision == document().revision()) return true;
      std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
    return false;
  }

  /// Until scenes and meshes are read and written, at most a minute.
  void wait_files() {
    settle();
    for (int i = 0; i < 12000 && app_->is_at_files(); ++i) {
      frames();
      std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
    settle();
  }

  [[nodiscard]] viewer::MarkRect mark(const std::string& name) const {
    const auto found = app_->marks().find(name);
    EXPECT_TRUE(found.has_value()) << "no widget '" << name << "' is on the screen";
    return found.value_or(viewer::MarkRect{});
  }
  [[nodiscard]] bool has_mark(const std::string& name) const { return app_->marks().find(name).has_value(); }

  void point(double x, double y) { app_->push(viewer::PointerMoved{x, y}); }
  void press(int button = 0) { app_->push(viewer::ButtonChanged{button, true}); }
  void release(int button = 0) { app_->push(viewer::ButtonChanged{button, false}); }
  void click_at(double x, double y) {
    point(x, y);
    settle();
    press();
    release();
    settle();
  }
  void click(const std::string& name) {
    const viewer::MarkRect rect = mark(name);
    click_at(rect.middle_x(), rect.middle_y());
  }
  /// Pressed at one point, released at another, in `steps` moves.
  void drag(const glm::dvec2& from, const glm::dvec2& to, int steps = 8) {
    point(from.x, from.y);
    settle();
    press();
    settle();
    for (int i = 1; i <= steps; ++i) {
      const glm::dvec2 p = from + (to - from) * (static_cast<double>(i) / steps);
      point(p.x, p.y);
      frames();
    }
    release();
    settle();
  }
  void key(int key, std::vector<int> held = {}) {
    for (const int modifier : held) app_->push(viewer::KeyChanged{modifier, true});
    app_->push(viewer::KeyChanged{key, true});
    app_->push(viewer::KeyChanged{key, false});
    for (const int modifier : held) app_->push(viewer::KeyChanged{modifier, false});
    settle();
  }
  void type(const std::string& text) {
    for (const char c : text) app_->push(viewer::TextTyped{static_cast<unsigned char>(c)});
    settle();
  }
  /// Where a point of the scene is seen, window pixels.
  [[nodiscard]] glm::dvec2 pixel_of(const Vec3& p_W) const {
    const viewer::MarkRect view = mark("view");
    const auto pixel = viewer::find_pixel(app_->view().camera(), app_->view().viewport(), {p_W.x(), p_W.y(), p_W.z()});
    EXPECT_TRUE(pixel.has_value());
    return glm::dvec2(view.left, view.top) + pixel.value_or(glm::dvec2(0.0));
  }
  /// Answer of a move by index; nullptr before there is one.
  [[nodiscard]] const move::MoveResult* result(int index) const {
    const viewer::MoveAnswer* answer =
        app_->results().find(document().scene().moves[static_cast<std::size_t>(index)].name);
    return answer == nullptr ? nullptr : answer->result.get();
  }

 private:
  std::unique_ptr<TemporaryFolder> own_folder_;
  std::vector<std::string> gl_errors_;
  std::unique_ptr<viewer::gl::GlContext> context_;
  std::unique_ptr<viewer::render::Renderer> renderer_;
  std::unique_ptr<viewer::App> app_;
};

}  // namespace steepwright::tests
