#include "tests/bench/render_latency.h"

#include "tests/bench/processor_time.h"
#include "tests/support/malloc_guard.h"
#include "viewer/app/app.h"
#include "viewer/app/presenter.h"
#include "viewer/gl/objects.h"

#include <epoxy/gl.h>
#include <fmt/format.h>
#include <imgui/imgui.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <condition_variable>
#include <cstdlib>
#include <ctime>
#include <mutex>

namespace steepwright::bench {

namespace {

using Clock = std::chrono::steady_clock;
using namespace std::chrono_literals;

constexpr int kWidth_px = 1280, kHeight_px = 800;
constexpr int kRounds = 15;
constexpr double kFrame_s = 1.0 / 60.0;

double ms_since(Clock::time_point start) {
  return std::chrono::duration<double, std::milli>(Clock::now() - start).count();
}

/// Of this thread alone.
double thread_ms() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return 1e3 * static_cast<double>(now.tv_sec) + 1e-6 * static_cast<double>(now.tv_nsec);
}

/// Sleeps as the window's loop does, until the solver has something.
class Bell {
 public:
  void ring() {
    const std::lock_guard lock(mutex_);
    has_rung_ = true;
    rung_.notify_one();
  }
  void wait() {
    std::unique_lock lock(mutex_);
    rung_.wait_for(lock, 100ms, [this] { return has_rung_; });
    has_rung_ = false;
  }

 private:
  std::mutex mutex_;
  std::condition_variable rung_;
  bool has_rung_ = false;
};

/// Where frames are shown: memory in the window's place.
class Screen {
 public:
  Screen(viewer::Presenter& presenter, viewer::Presenting presenting) : presenter_(presenter), presenting_(presenting) {
    glBindRenderbuffer(GL_RENDERBUFFER, color_.name());
    glRenderbufferStorage(GL_RENDERBUFFER, GL_RGBA8, kWidth_px, kHeight_px);
    glBindFramebuffer(GL_FRAMEBUFFER, framebuffer_.name());
    glFramebufferRenderbuffer(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_RENDERBUFFER, color_.name());
    glBindFramebuffer(GL_FRAMEBUFFER, 0);
  }
  void show(const viewer::ShownPicture& picture) { show(picture, presenting_); }
  void show(const viewer::ShownPicture& picture, viewer::Presenting presenting) {
    presenter_.draw(kWidth_px, kHeight_px, picture, presenting, framebuffer_.name());
    glFinish();
  }

 private:
  viewer::Presenter& presenter_;
  viewer::Presenting presenting_;
  viewer::gl::Framebuffer framebuffer_ = viewer::gl::Framebuffer::make();
  viewer::gl::Renderbuffer color_ = viewer::gl::Renderbuffer::make();
};

struct Latency {
  std::vector<double> stance_ms, trace_ms, stance_thread_ms, stance_solved_ms, trace_solved_ms;
};

/// Drags the slider "across" of the first move's target hold.
class Drag {
 public:
  /// Without a screen: all but the drawing.
  Drag(viewer::App& app, Screen* screen, Bell& bell) : app_(app), screen_(screen), bell_(bell) {}

  /// All that the window does.
  void frame() {
    app_.frame(kFrame_s);
    if (screen_ != nullptr) screen_->show(app_.view().shown_picture());
  }

  /// Frames until `is_over`; false after a minute.
  template <typename IsOver>
  bool run_until(const IsOver& is_over) {
    const auto start = Clock::now();
    while (ms_since(start) < 60e3) {
      frame();
      if (is_over()) return true;
      if (!app_.wants_input_frame()) bell_.wait();
    }
    return false;
  }

  [[nodiscard]] bool is_solved() const { return app_.results().is_done(app_.document().revision()); }

  void begin() {
    app_.ui().hold = app_.document().scene().moves.front().target.hold;
    app_.ui().t = 1.0;  // the stance that the hand ends in
    for (int i = 0; i < 6; ++i) frame();
    point_at(0.0);
    frame();
    app_.push(viewer::ButtonChanged{0, true});
    for (int i = 0; i < 6; ++i) frame();
  }

  /// One step of the drag, up to the picture of the trace.
  bool step(double by_px, Latency& latency) {
    // On the way there and back, so that solvers are busy with what is over when the last event comes.
    for (const double way_px : {0.5 * by_px, 0.0}) {
      point_at(way_px);
      frame();
    }
    const std::uint64_t before = app_.document().revision();
    const auto start = Clock::now();
    const double thread_before_ms = thread_ms();
    point_at(by_px);
    const std::string& move = app_.document().scene().moves.front().name;
    const auto revision = [this] { return app_.document().revision(); };
    if (!run_until([&] { return revision() != before && app_.results().find_stance(move, revision()) != nullptr; }))
      return false;
    latency.stance_ms.push_back(ms_since(start));
    latency.stance_thread_ms.push_back(thread_ms() - thread_before_ms);
    if (!run_until([&] { return app_.results().find(move)->revision == revision(); })) return false;
    latency.trace_ms.push_back(ms_since(start));
    if (!run_until([this] { return is_solved(); })) return false;
    latency.stance_solved_ms.push_back(1e3 * app_.results().stance()->solved_s);
    latency.trace_solved_ms.push_back(1e3 * app_.results().done().first_move_s);
    return true;
  }

 private:
  // From the slider's middle.
  void point_at(double by_px) {
    const auto slider = app_.marks().find("hold.across");
    if (slider) app_.push(viewer::PointerMoved{slider->middle_x() + by_px, slider->middle_y()});
  }

  viewer::App& app_;
  Screen* screen_;
  Bell& bell_;
};

void print_row(const char* name, std::vector<double> times_ms, double wanted_ms) {
  std::sort(times_ms.begin(), times_ms.end());
  fmt::print("{:<42} {:>8.1f} {:>10.1f} {:>8.1f}", name, times_ms.front(), times_ms[times_ms.size() / 2],
             times_ms[times_ms.size() * 9 / 10]);
  if (wanted_ms > 0.0) fmt::print(" {:>10.0f}", wanted_ms);
  fmt::print("\n");
}

std::unique_ptr<viewer::App> make_app(viewer::render::Renderer* renderer, bool is_software, bool has_marks,
                                      Bell& bell) {
  viewer::AppOptions options;
  options.renderer = renderer;
  options.has_marks = has_marks;
  options.is_quiet = true;
  options.wake = [&bell] { bell.ring(); };
  auto app = viewer::App::make(std::move(options));
  if (!app) return nullptr;
  (*app)->set_display(kWidth_px, kHeight_px, 1.0F);
  if (is_software) (*app)->settings().has_shadows = (*app)->settings().has_smooth_edges = false;
  (*app)->settings().has_reach = false;
  (*app)->ui().is_playing = false;
  return std::move(*app);
}

/// The same with all that it takes to show its pictures.
class DrawnApp {
 public:
  static std::unique_ptr<DrawnApp> make(viewer::render::Renderer& renderer, bool is_software, bool has_marks,
                                        Bell& bell) {
    auto app = make_app(&renderer, is_software, has_marks, bell);
    auto presenter = viewer::Presenter::make();
    if (app == nullptr || !presenter) return nullptr;
    return std::unique_ptr<DrawnApp>(new DrawnApp(std::move(app), std::move(*presenter), is_software));
  }
  [[nodiscard]] viewer::App& app() { return *app_; }
  [[nodiscard]] Screen& screen() { return screen_; }

 private:
  DrawnApp(std::unique_ptr<viewer::App> app, viewer::Presenter presenter, bool is_software)
      : app_(std::move(app)),
        presenter_(std::move(presenter)),
        screen_(presenter_, is_software ? viewer::Presenting::kChanges : viewer::Presenting::kWhole) {
    app_->set_font_handler([this] { presenter_.update_fonts(); });
  }

  std::unique_ptr<viewer::App> app_;
  viewer::Presenter presenter_;
  Screen screen_;
};

bool drag_to_and_fro(Drag& drag, Latency& latency) {
  constexpr double kStep_px = 8.0;
  if (!drag.run_until([&] { return drag.is_solved(); })) return false;
  drag.begin();
  for (int i = 0; i < kRounds; ++i) {
    if (!drag.step(i % 2 == 0 ? kStep_px : -kStep_px, latency)) return false;
  }
  return true;
}

/// Processor time of a frame while nothing is solved, over all threads.
void print_frames(viewer::App& app, Screen& screen) {
  std::vector<double> drawing_ms, changes_ms, whole_ms;
  for (int i = 0; i < kRounds; ++i) {
    app.ui().t = i % 2 == 0 ? 1.0 : 0.999;
    const double start_ms = find_processor_ms();
    app.frame(kFrame_s);
    glFinish();
    const double drawn_ms = find_processor_ms();
    screen.show(app.view().shown_picture(), viewer::Presenting::kChanges);
    const double shown_ms = find_processor_ms();
    screen.show(app.view().shown_picture(), viewer::Presenting::kWhole);
    drawing_ms.push_back(drawn_ms - start_ms);
    changes_ms.push_back(shown_ms - drawn_ms);
    whole_ms.push_back(find_processor_ms() - shown_ms);
  }
  print_row("processor: picture, panels", drawing_ms, 0.0);
  print_row("processor: shown by changes", changes_ms, 0.0);
  print_row("processor: shown whole", whole_ms, 0.0);
}

/// Of the drawing thread, in a frame of a move that plays, with each of the side panel's tabs. ImGui takes its memory
/// by functions of its own, not by operator new: counted apart.
bool print_allocations(viewer::render::Renderer& renderer, bool is_software, Bell& bell) {
  constexpr int kFrames = 60;
  constexpr std::array<const char*, 4> kTabs = {"hold", "grips", "wall", "climber"};
  std::size_t of_imgui = 0;
  ImGui::SetAllocatorFunctions(
      [](std::size_t size, void* count) {
        ++*static_cast<std::size_t*>(count);
        return std::malloc(size);
      },
      [](void* memory, void*) { std::free(memory); }, &of_imgui);
  const auto made = DrawnApp::make(renderer, is_software, false, bell);
  if (made == nullptr) return false;
  viewer::App& app = made->app();
  Drag window(app, &made->screen(), bell);
  if (!window.run_until([&] { return window.is_solved(); })) return false;
  app.ui().hold = app.document().scene().moves.front().target.hold;
  const auto play = [&] {
    for (int i = 0; i < kFrames; ++i) {
      app.ui().t = static_cast<double>(i) / kFrames;
      window.frame();
    }
  };
  fmt::print("\n{:<42} {:>8} {:>10}\n", "allocations a frame while a move plays", "own", "ImGui's");
  for (int tab = 0; tab < 4; ++tab) {
    app.ui().wanted_side_tab = tab;
    play();
    const std::size_t own_before = tests::allocation_count();
    const std::size_t of_imgui_before = of_imgui;
    play();
    fmt::print("tab {:<38} {:>8.1f} {:>10.1f}\n", kTabs.at(static_cast<std::size_t>(tab)),
               static_cast<double>(tests::allocation_count() - own_before) / kFrames,
               static_cast<double>(of_imgui - of_imgui_before) / kFrames);
  }
  return true;
}

bool print_drags(viewer::render::Renderer& renderer, bool is_software, Bell& bell) {
  Latency drawn, undrawn;
  {
    const auto app = make_app(nullptr, is_software, true, bell);
    if (app == nullptr) return false;
    Drag drag(*app, nullptr, bell);
    if (!drag_to_and_fro(drag, undrawn)) return false;
  }
  const auto made = DrawnApp::make(renderer, is_software, true, bell);
  if (made == nullptr) return false;
  Drag drag(made->app(), &made->screen(), bell);
  if (!drag_to_and_fro(drag, drawn)) return false;
  fmt::print("\nlast event of a drag to its picture, {} x {} px, {} drags of a hold\n", kWidth_px, kHeight_px, kRounds);
  fmt::print("drawn: with the renderer above; undrawn: panels, edit, solve, hand-over, scene, without OpenGL\n\n");
  fmt::print("{:<42} {:>8} {:>10} {:>8} {:>10}\n", "answer", "least ms", "median ms", "p90 ms", "wanted ms");
  print_row("stance, drawn", drawn.stance_ms, 16.0);
  print_row("stance, undrawn", undrawn.stance_ms, 16.0);
  print_row("of it solving", undrawn.stance_solved_ms, 0.0);
  print_row("of it the drawing thread's processor time", undrawn.stance_thread_ms, 0.0);
  print_row("trace, drawn", drawn.trace_ms, 100.0);
  print_row("trace, undrawn", undrawn.trace_ms, 100.0);
  print_row("of it solving", undrawn.trace_solved_ms, 0.0);
  print_frames(made->app(), made->screen());
  return true;
}

}  // namespace

bool print_latency(viewer::gl::GlContext& context, viewer::render::Renderer& renderer) {
  Bell bell;
  const bool is_software = viewer::render::is_software(context.info());
  return print_drags(renderer, is_software, bell) && print_allocations(renderer, is_software, bell);
}

}  // namespace steepwright::bench
