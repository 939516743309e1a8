/// Frame times and allocations of the renderer, off-screen. Prints what draws: a software renderer (llvmpipe) says
/// little of a graphics card; draw calls, triangles, the time to prepare a frame and the allocations are the same.

#include "engine/core/units.h"
#include "tests/bench/processor_time.h"
#include "tests/bench/render_latency.h"
#include "tests/support/malloc_guard.h"
#include "tests/viewer/render_scenes.h"
#include "viewer/render/draw_list.h"

#include <epoxy/gl.h>
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <functional>
#include <string_view>
#include <vector>

namespace steepwright::bench {
namespace {

namespace vr = viewer::render;
using Clock = std::chrono::steady_clock;

constexpr int kWidth_px = 1280;
constexpr int kHeight_px = 800;

double ms_since(Clock::time_point start) {
  return std::chrono::duration<double, std::milli>(Clock::now() - start).count();
}

struct Timing {
  double median_ms = 0.0, p90_ms = 0.0, processor_ms = 0.0, prepare_ms = 0.0;
  double allocations = 0.0;
  double uploaded_kB = 0.0;
  vr::DrawCounts counts;
};

/// What a frame hands to the GPU besides meshes, which are there already.
double find_uploaded_kB(const vr::DrawList& list, const vr::RenderScene& scene) {
  const auto size = [](const auto& rows) { return rows.size() * sizeof(rows[0]); };
  return 1e-3 * static_cast<double>(size(list.meshes) + size(list.limbs) + size(list.arrows) + size(list.discs) +
                                    size(list.lines) + size(list.band_vertices) + size(scene.band_indices));
}

/// Frames until a second and a half has gone by, at least four; the camera moves from frame to frame.
Timing time_frames(tests::OffscreenRenderer& off, const vr::RenderScene& scene, viewer::Camera camera, bool is_plain) {
  constexpr double kTime_ms = 1500.0;
  constexpr std::size_t kLeastFrames = 4;
  const viewer::Viewport view{kWidth_px, kHeight_px};
  vr::RenderOptions options = vr::make_render_options(vr::Theme::kDark, kWidth_px, kHeight_px);
  if (is_plain) vr::set_plain(options);
  const auto draw = [&] {
    camera = viewer::orbit(camera, view, {1.0, 0.0});
    const auto start = Clock::now();
    off.renderer->draw(scene, camera, options);
    glFinish();
    return ms_since(start);
  };
  for (int i = 0; i < 5; ++i) draw();
  std::vector<double> times_ms;
  times_ms.reserve(10'000);
  const double processor_before_ms = find_processor_ms();
  const std::size_t before = tests::allocation_count();
  for (const auto start = Clock::now(); times_ms.size() < kLeastFrames || ms_since(start) < kTime_ms;)
    times_ms.push_back(draw());
  Timing timing;
  timing.processor_ms = (find_processor_ms() - processor_before_ms) / static_cast<double>(times_ms.size());
  timing.allocations = static_cast<double>(tests::allocation_count() - before) / static_cast<double>(times_ms.size());
  std::sort(times_ms.begin(), times_ms.end());
  timing.median_ms = times_ms[times_ms.size() / 2];
  timing.p90_ms = times_ms[times_ms.size() * 9 / 10];
  timing.counts = off.renderer->counts();

  // What the program's own part of a frame costs, whatever draws it.
  vr::DrawList list;
  const std::function<int(const vr::MeshHandle&)> find_mesh = [](const vr::MeshHandle&) { return 0; };
  constexpr int kRepeats = 50;
  make_draw_list(scene, glm::vec3(0.0F), find_mesh, list);
  const auto start = Clock::now();
  for (int i = 0; i < kRepeats; ++i) make_draw_list(scene, glm::vec3(0.0F), find_mesh, list);
  timing.prepare_ms = ms_since(start) / kRepeats;
  timing.uploaded_kB = find_uploaded_kB(list, scene);
  return timing;
}

/// A ball of about n triangles.
vr::MeshHandle make_ball(int n_triangles) {
  const int n = std::max(4, static_cast<int>(std::sqrt(n_triangles / 4.0)));
  auto mesh = std::make_shared<vr::MeshData>();
  for (int i = 0; i <= n; ++i) {
    for (int j = 0; j <= 2 * n; ++j) {
      const double rise = kPi * i / n;
      const double turn = kPi * j / n;
      const glm::vec3 p(glm::dvec3(std::sin(rise) * std::cos(turn), std::sin(rise) * std::sin(turn), std::cos(rise)));
      mesh->positions.push_back(0.09F * p);
      mesh->normals.push_back(p);
    }
  }
  const auto at = [n](int i, int j) { return static_cast<std::uint32_t>(i * (2 * n + 1) + j); };
  for (int i = 0; i < n; ++i) {
    for (int j = 0; j < 2 * n; ++j) {
      for (const std::uint32_t index :
           {at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j), at(i + 1, j + 1), at(i, j + 1)})
        mesh->indices.push_back(index);
    }
  }
  return mesh;
}

/// A wall of 12 x 4 m at 30 degrees.
wall::Wall make_large_wall() {
  wall::Strip strip;
  strip.name = "large";
  strip.angle = rad_from_deg(30.0);
  strip.width_m = 12.0;
  strip.length_m = 4.0;
  strip.lattice = wall::Lattice{};
  strip.joists = wall::Joists{};
  return wall::make_wall("large", {{strip}}, std::nullopt);
}

/// `n` things in rows over the wall; `add` places one.
void fill_wall(const wall::Wall& wall, int n, const std::function<void(int, const Pose&)>& add) {
  const wall::Strip& strip = wall.strips.front();
  const int n_across = static_cast<int>(std::ceil(std::sqrt(n * strip.width_m / strip.length_m)));
  const int n_up = (n + n_across - 1) / n_across;
  for (int i = 0; i < n; ++i) {
    add(i, wall::find_pose_on_strip(strip, strip.width_m * (i % n_across + 0.5) / n_across,
                                    strip.length_m * (i / n_across + 0.5) / n_up, 0.3 * i));
  }
}

vr::RenderScene make_ball_scene(const wall::Wall& wall, int n_balls, int n_triangles_each) {
  vr::RenderScene scene;
  vr::append_wall(wall, {}, scene);
  const vr::MeshHandle ball = make_ball(n_triangles_each);
  fill_wall(wall, n_balls, [&](int, const Pose& X_WH) {
    vr::MeshInstance instance;
    instance.mesh = ball;
    instance.X_WM = glm::mat4(1.0F);
    instance.X_WM[3] = glm::vec4(glm::dvec4(X_WH.p.x(), X_WH.p.y(), X_WH.p.z(), 1.0));
    scene.meshes.push_back(instance);
  });
  return scene;
}

vr::RenderScene make_hold_scene(const wall::Wall& wall, int n_holds, const move::Scene& sample,
                                vr::HoldMeshes& meshes) {
  vr::RenderScene scene;
  vr::append_wall(wall, {}, scene);
  fill_wall(wall, n_holds, [&](int i, const Pose& X_WH) {
    move::PlacedHold hold = sample.holds[static_cast<std::size_t>(i) % sample.holds.size()];
    hold.X_WH = X_WH;
    vr::append_hold(hold, i, meshes, scene);
  });
  return scene;
}

void print_frames(tests::OffscreenRenderer& off) {
  fmt::print("picture   {} x {} px; full: {} samples, shadows, ambient occlusion, texture; plain: none of them\n",
             kWidth_px, kHeight_px, std::min(4, off.context->info().most_samples));
  fmt::print("CPU       processor time of a frame, all threads\n");
  fmt::print("prepare   the program's own share of a frame: scene to rows for the GPU; upload: those rows\n\n");
  fmt::print("{:<22} {:<6} {:>10} {:>6} {:>10} {:>10} {:>9} {:>9} {:>11} {:>12}\n", "scene", "draws", "triangles",
             "calls", "upload kB", "median ms", "p90 ms", "CPU ms", "prepare ms", "allocations");

  const move::Scene sample = tests::make_sample_scene();
  const wall::Wall large = make_large_wall();
  const viewer::Viewport view{kWidth_px, kHeight_px};
  const viewer::Camera before_large = viewer::make_open_view(view, vr::find_wall_corners(large));
  vr::HoldMeshes meshes;
  vr::RenderScene with_climber = tests::make_wall_scene(sample, vr::Theme::kDark, meshes);
  tests::append_figure(tests::make_posed_figure(sample), vr::Theme::kDark, with_climber);
  struct Case {
    const char* name;
    vr::RenderScene scene;
    viewer::Camera camera;
  };
  const std::vector<Case> cases = {
      {"wall with climber", with_climber, viewer::make_open_view(view, vr::find_wall_corners(sample.wall))},
      {"100k triangles", make_ball_scene(large, 10, 10'000), before_large},
      {"2M triangles", make_ball_scene(large, 200, 10'000), before_large},
      {"2,000 holds", make_hold_scene(large, 2000, sample, meshes), before_large}};
  for (const Case& one : cases) {
    for (const bool is_plain : {true, false}) {
      const Timing timing = time_frames(off, one.scene, one.camera, is_plain);
      fmt::print("{:<22} {:<6} {:>10} {:>6} {:>10.0f} {:>10.1f} {:>9.1f} {:>9.1f} {:>11.3f} {:>12.1f}\n", one.name,
                 is_plain ? "plain" : "full", timing.counts.triangles, timing.counts.draw_calls, timing.uploaded_kB,
                 timing.median_ms, timing.p90_ms, timing.processor_ms, timing.prepare_ms, timing.allocations);
    }
  }
}

int run(bool is_latency_only) {
  tests::OffscreenRenderer off;
  if (off.renderer == nullptr) {
    fmt::print("{}\n", off.failure);
    return 1;
  }
  fmt::print("renderer  {}, OpenGL {}\n", off.context->info().renderer, off.context->info().version);
  if (!is_latency_only) print_frames(off);
  if (!print_latency(*off.context, *off.renderer)) {
    fmt::print("a drag was not answered\n");
    return 1;
  }
  for (const std::string& complaint : off.complaints) fmt::print("OpenGL: {}\n", complaint);
  return off.complaints.empty() ? 0 : 1;
}

}  // namespace
}  // namespace steepwright::bench

// `render_bench latency`: the drags alone.
int main(int argc, char** argv) { return steepwright::bench::run(argc > 1 && std::string_view(argv[1]) == "latency"); }
