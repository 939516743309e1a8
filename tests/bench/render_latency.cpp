#include "tests/bench/render_latency.h"

#include "viewer/app/app.h"
#include "viewer/app/presenter.h"

#include <epoxy/gl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <condition_variable>
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

/// Over all threads.
double processor_ms() {
  timespec now{};
  clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
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

struct Latency {
  std::vector<double> stance_ms, trace_ms, stance_solved_ms, trace_solved_ms, frame_ms;
  /// Processor time of a frame while nothing is solved, all threads: the picture with its panels, what shows it.
  std::vector<double> drawing_ms, showing_changes_ms, showing_whole_ms;
};

class Drag {
 public:
  Drag(viewer::App& app, viewer::Presenter& presenter, viewer::Presenting presenting, Bell& bell)
      : app_(app), presenter_(presenter), presenting_(presenting), bell_(bell) {}

  /// All that the window does, but for showing it on a screen.
  void frame() {
    app_.frame(kFrame_s);
    show(presenting_);
  }

  void show(viewer::Presenting presenting) {
    static_cast<void>(presenter_.draw_picture(kWidth_px, kHeight_px, app_.view().shown_picture(), presenting));
  }

  /// Frames until `is_over`; false after a minute.
  template <typename IsOver>
  bool run_until(const IsOver& is_over) {
    const auto start = Clock::now();
    while (ms_since(start) < 60e3) {
      const auto begin = Clock::now();
      frame();
      last_frame_ms_ = ms_since(begin);
      if (is_over()) return true;
      if (!app_.wants_input_frame()) bell_.wait();
    }
    return false;
  }

  void measure_frames(Latency& latency) {
    for (int i = 0; i < kRounds; ++i) {
      app_.ui().t = i % 2 == 0 ? 1.0 : 0.999;
      const double start_ms = processor_ms();
      app_.frame(kFrame_s);
      glFinish();
      const double drawn_ms = processor_ms();
      show(viewer::Presenting::kChanges);
      const double shown_ms = processor_ms();
      show(viewer::Presenting::kWhole);
      latency.drawing_ms.push_back(drawn_ms - start_ms);
      latency.showing_changes_ms.push_back(shown_ms - drawn_ms);
      latency.showing_whole_ms.push_back(processor_ms() - shown_ms);
    }
  }

  bool is_solved() const { return app_.results().is_done(app_.document().revision()); }

  void begin(int hold) {
    hold_ = hold;
    app_.ui().t = 0.0;  // no hand lies on it yet
    for (int i = 0; i < 6; ++i) frame();
    point_at(place_of());
    app_.push(viewer::ButtonChanged{0, true});
    for (int i = 0; i < 6; ++i) frame();
    app_.ui().t = 1.0;  // the stance that the hand ends in
  }

  /// One step of the drag by `across_m`, up to the picture of the trace.
  bool step(double across_m, Latency& latency) {
    const Vec3 p_W = place_of() + across_m * strip().X_WP.R.col(0);
    // On the way there and back, so that solvers are busy with what is over when the last event comes.
    for (const double share : {1.0, 0.0}) {
      point_at(p_W + (share - 1.0) * across_m * strip().X_WP.R.col(0));
      frame();
    }
    const std::uint64_t before = app_.document().revision();
    const auto start = Clock::now();
    point_at(p_W);
    const std::string& move = app_.document().scene().moves.front().name;
    const auto revision = [this] { return app_.document().revision(); };
    if (!run_until([&] { return revision() != before && app_.results().find_stance(move, revision()) != nullptr; }))
      return false;
    latency.stance_ms.push_back(ms_since(start));
    if (!run_until([&] { return app_.results().find(move)->revision == revision(); })) return false;
    latency.trace_ms.push_back(ms_since(start));
    latency.frame_ms.push_back(last_frame_ms_);
    if (!run_until([this] { return is_solved(); })) return false;
    latency.stance_solved_ms.push_back(1e3 * app_.results().stance()->solved_s);
    latency.trace_solved_ms.push_back(1e3 * app_.results().done().first_move_s);
    return true;
  }

 private:
  [[nodiscard]] const move::PlacedHold& hold() const {
    return app_.document().scene().holds[static_cast<std::size_t>(hold_)];
  }
  [[nodiscard]] const wall::Strip& strip() const {
    return app_.document().scene().wall.strips[static_cast<std::size_t>(hold().strip)];
  }
  [[nodiscard]] Vec3 place_of() const { return hold().X_WH * Vec3(0.0, 0.0, hold().hold.shape.protrusion_m); }

  void point_at(const Vec3& p_W) {
    const auto view = app_.marks().find("view");
    const auto pixel = find_pixel(app_.view().camera(), app_.view().viewport(), {p_W.x(), p_W.y(), p_W.z()});
    if (view && pixel) app_.push(viewer::PointerMoved{view->left + pixel->x, view->top + pixel->y});
  }

  viewer::App& app_;
  viewer::Presenter& presenter_;
  viewer::Presenting presenting_;
  Bell& bell_;
  int hold_ = 0;
  double last_frame_ms_ = 0.0;
};

void print_row(const char* name, std::vector<double> times_ms, double wanted_ms) {
  std::sort(times_ms.begin(), times_ms.end());
  fmt::print("{:<28} {:>8.1f} {:>10.1f} {:>8.1f}", name, times_ms.front(), times_ms[times_ms.size() / 2],
             times_ms[times_ms.size() * 9 / 10]);
  if (wanted_ms > 0.0) fmt::print(" {:>10.0f}", wanted_ms);
  fmt::print("\n");
}

}  // namespace

bool print_latency(viewer::gl::GlContext& context, viewer::render::Renderer& renderer) {
  Bell bell;
  const auto folder = std::filesystem::temp_directory_path() / fmt::format("steepwright-bench-{}", ::getpid());
  viewer::AppOptions options;
  options.folders = {folder / "config", folder / "state"};
  options.renderer = &renderer;
  options.has_marks = true;
  options.is_quiet = true;
  options.wake = [&bell] { bell.ring(); };
  auto made = viewer::App::make(std::move(options));
  if (!made) return false;
  viewer::App& app = **made;
  app.set_display(kWidth_px, kHeight_px, 1.0F);
  const bool is_software = viewer::render::is_software(context.info());
  if (is_software) app.settings().has_shadows = app.settings().has_smooth_edges = false;
  app.settings().has_reach = false;
  app.ui().is_playing = false;
  auto presenter = viewer::Presenter::make();
  if (!presenter) return false;
  app.set_font_handler([&presenter] { presenter->update_fonts(); });
  Drag drag(app, *presenter, is_software ? viewer::Presenting::kChanges : viewer::Presenting::kWhole, bell);
  if (!drag.run_until([&] { return drag.is_solved(); })) return false;
  drag.begin(app.document().scene().moves.front().target.hold);
  Latency latency;
  for (int i = 0; i < kRounds; ++i) {
    if (!drag.step(i % 2 == 0 ? 0.2 : -0.2, latency)) return false;
  }
  drag.measure_frames(latency);
  fmt::print("\nlast event of a drag to its picture, {} x {} px, {} drags of a hold by one T-nut\n\n", kWidth_px,
             kHeight_px, kRounds);
  fmt::print("{:<28} {:>8} {:>10} {:>8} {:>10}\n", "answer", "least ms", "median ms", "p90 ms", "wanted ms");
  print_row("stance", latency.stance_ms, 16.0);
  print_row("trace", latency.trace_ms, 100.0);
  print_row("of the stance: solving", latency.stance_solved_ms, 0.0);
  print_row("of the trace: solving", latency.trace_solved_ms, 0.0);
  print_row("of both: a frame's drawing", latency.frame_ms, 0.0);
  print_row("processor: picture, panels", latency.drawing_ms, 0.0);
  print_row("processor: shown by changes", latency.showing_changes_ms, 0.0);
  print_row("processor: shown whole", latency.showing_whole_ms, 0.0);
  return true;
}

}  // namespace steepwright::bench
