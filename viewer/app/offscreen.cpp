#include "viewer/app/offscreen.h"

#include "viewer/app/app.h"
#include "viewer/app/presenter.h"
#include "viewer/gl/context.h"
#include "viewer/picture/png.h"

#include <algorithm>
#include <chrono>
#include <thread>

namespace steepwright::viewer {

namespace {

constexpr double kFrame_s = 1.0 / 60.0;
constexpr int kSettlingFrames = 30;  // longer than a flight of the camera
constexpr std::chrono::milliseconds kPoll{5};
constexpr std::chrono::hours kLongestRead{1};

bool is_all_there(const App& app) {
  const Results& results = app.results();
  if (!results.is_done(app.document().revision())) return false;
  const auto& moves = app.document().scene().moves;
  if (moves.empty()) return true;
  const MoveAnswer* answer = results.find(moves[static_cast<std::size_t>(std::max(app.ui_state().move, 0))].name);
  if (answer != nullptr && !answer->result->frames.empty() && results.find_risk(*answer->result) == nullptr)
    return false;
  return !app.settings().has_reach || (results.reach() != nullptr && results.reach()->stage + 1 == kReachStages);
}

}  // namespace

Result<void> render_offscreen(const OffscreenOptions& options) {
  auto context = gl::make_surfaceless_context();
  if (!context) return tl::unexpected<Findings>(context.error());
  auto renderer = render::Renderer::make(**context);
  if (!renderer) return tl::unexpected<Findings>(renderer.error());
  AppOptions app_options;
  app_options.scene = options.scene;
  app_options.renderer = renderer->get();
  app_options.is_quiet = true;
  auto made = App::make(std::move(app_options));
  if (!made) return tl::unexpected<Findings>(made.error());
  App& app = **made;
  if (auto read = app.wait_first_scene(kLongestRead); !read) return read;
  auto presenter = Presenter::make();
  if (!presenter) return tl::unexpected<Findings>(presenter.error());
  app.set_font_handler([&presenter] { presenter->update_fonts(); });
  app.set_display(options.width_px, options.height_px, options.scale);
  app.settings().is_light = options.is_light;
  if (options.is_plain) app.settings().has_shadows = app.settings().has_smooth_edges = false;
  app.settings().has_reach = options.has_reach;
  app.ui().move = options.move;
  app.ui().hold = options.hold;
  app.ui().is_playing = false;
  app.ui().t = options.t;
  do {
    app.frame(kFrame_s);
    std::this_thread::sleep_for(kPoll);
  } while (!is_all_there(app));
  if (options.side_tab >= 0) app.ui().wanted_side_tab = options.side_tab;
  app.ui().quantity = options.quantity;
  app.ui().status_left_s = 0.0;  // what was opened is seen
  for (int i = 0; i < kSettlingFrames; ++i) app.frame(kFrame_s);
  return save_png(options.picture, presenter->draw_picture(options.width_px, options.height_px,
                                                           app.view().shown_picture(), Presenting::kWhole));
}

}  // namespace steepwright::viewer
