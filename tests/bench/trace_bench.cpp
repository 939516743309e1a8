/// trace_bench: the demo scenes' moves, traced cold (new workspace, new capacity sets, processor time of one core) and
/// with the sets kept; memory over 10,000 traces; the choice of feet over 12 foot holds on two threads, wall time.
///   trace_bench [traces for the memory run, default 10000]

#include "engine/core/units.h"
#include "engine/io/scene_file.h"
#include "engine/move/feet.h"
#include "engine/move/goals.h"
#include "engine/move/remedy.h"
#include "engine/move/solve.h"
#include "tests/bench/processor_time.h"
#include "tests/move/traced_scenes.h"
#include "tests/support/malloc_guard.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cstdlib>
#include <fstream>
#include <string>
#include <vector>

namespace steepwright::bench {
namespace {

constexpr double kColdTarget_ms = 60.0;
constexpr double kFeetTarget_s = 5.0;

long resident_kB() {
  std::ifstream statm("/proc/self/statm");
  long pages = 0, resident = 0;
  statm >> pages >> resident;
  return resident * (sysconf(_SC_PAGESIZE) / 1024);
}

struct Timed {
  double best_ms = 1e300;
  move::MoveResult result;
};

/// Best of three. Cold: everything but body and hand is made anew.
Timed time_trace(const move::Scene& scene, const body::Body& body, const move::Move& move, bool is_cold) {
  const grip::Hand hand = move::make_climber_hand(scene.climber, body);
  grip::CapacityCache kept(hand);
  Timed timed;
  for (int i = 0; i < (is_cold ? 3 : 4); ++i) {
    grip::CapacityCache fresh(hand);
    const double start_ms = find_processor_ms();
    posture::StanceWorkspace workspace(body);
    timed.result = move::solve_move(scene, body, move, {}, workspace, is_cold ? fresh : kept);
    const double took_ms = find_processor_ms() - start_ms;
    if (is_cold || i > 0) timed.best_ms = std::min(timed.best_ms, took_ms);
  }
  return timed;
}

double find_median(std::vector<double> values) {
  if (values.empty()) return 0.0;
  std::sort(values.begin(), values.end());
  return values[values.size() / 2];
}

void add_line(const std::string& name, const move::Scene& scene, const body::Body& body, const move::Move& move,
              std::vector<double>& cold_held, std::vector<double>& kept_held) {
  const Timed cold = time_trace(scene, body, move, true);
  const Timed kept = time_trace(scene, body, move, false);
  const bool holds = cold.result.verdict == move::Verdict::kStatic;
  if (holds) {
    cold_held.push_back(cold.best_ms);
    kept_held.push_back(kept.best_ms);
  }
  fmt::print("{:<46} {:>10} {:>6} {:>9.1f} {:>9.1f} {:>12.2f}\n", name, holds ? "static" : "not static",
             cold.result.frames.size(), cold.best_ms, kept.best_ms, cold.best_ms / kColdTarget_ms);
}

void time_demo_scenes() {
  fmt::print("{:<46} {:>10} {:>6} {:>9} {:>9} {:>12}\n", "trace, processor time of one core", "verdict", "frames",
             "cold ms", "sets kept", "cold/60 ms");
  std::vector<double> cold_held, kept_held;
  for (const std::string scene_name : {"garage-20", "barn-35", "attic-45", "cellar-roof"}) {
    for (const std::string climber : {"short-woman", "tall-man"}) {
      io::SceneOptions options;
      options.climber_file = std::string(STEEPWRIGHT_SOURCE_DIR) + "/models/climbers/" + climber + ".toml";
      const auto loaded =
          io::load_scene(std::string(STEEPWRIGHT_SOURCE_DIR) + "/scenes/demo/" + scene_name + ".toml", options);
      if (!loaded) continue;
      const move::Scene& scene = loaded->scene;
      const body::Body body = body::make_body(scene.climber.measures);
      for (const move::Move& move : scene.moves) {
        add_line(fmt::format("{} {}", climber == "tall-man" ? "tall" : "short", move.name), scene, body, move,
                 cold_held, kept_held);
      }
    }
  }
  fmt::print("moves that hold: median cold {:.1f} ms, with sets kept {:.1f} ms; {} of {} cold within {:.0f} ms\n\n",
             find_median(cold_held), find_median(kept_held),
             std::count_if(cold_held.begin(), cold_held.end(), [](double ms) { return ms <= kColdTarget_ms; }),
             cold_held.size(), kColdTarget_ms);
}

void watch_memory(int n_traces) {
  const move::Scene scene = move::tests::make_reach_scene(20.0);
  const body::Body body = body::make_body(scene.climber.measures);
  posture::StanceWorkspace workspace(body);
  grip::CapacityCache hands(move::make_climber_hand(scene.climber, body));
  const auto trace = [&] { return move::solve_move(scene, body, scene.moves[0], {}, workspace, hands); };
  const int warm_up = std::max(1, n_traces / 100);
  for (int i = 0; i < warm_up; ++i) static_cast<void>(trace());
  const long first_kB = resident_kB();
  const std::size_t count = tests::allocation_count();
  static_cast<void>(trace());
  const std::size_t a_trace = tests::allocation_count() - count;
  for (int i = 0; i < n_traces; ++i) static_cast<void>(trace());
  const std::size_t last = tests::allocation_count();
  static_cast<void>(trace());
  fmt::print("memory: {} kB resident after {} traces, {} kB after {}; allocations a trace {} first, {} last\n\n",
             first_kB, warm_up, resident_kB(), n_traces, a_trace, tests::allocation_count() - last);
}

/// The reach scene with twelve foot holds in three rows.
move::Scene make_twelve_footholds() {
  std::vector<move::tests::HoldAt> holds = {
      {"left rail", 1.00, 1.75}, {"right rail", 1.45, 1.80}, {"high rail", 1.05, 2.15}};
  for (int row = 0; row < 3; ++row) {
    for (int column = 0; column < 4; ++column) {
      holds.push_back(
          {fmt::format("block {}", 4 * row + column + 1), 0.75 + 0.28 * column + 0.07 * row, 0.35 + 0.25 * row, true});
    }
  }
  move::Scene scene = move::tests::make_panel_scene(30.0, holds);
  move::Move move;
  move.name = "left hand up";
  move.before.limbs[0] = move::tests::on_hold(0, Grip::kJug);
  move.before.limbs[1] = move::tests::on_hold(1, Grip::kJug);
  move.before.limbs[2] = move::tests::on_hold(3);
  move.before.limbs[3] = move::tests::on_hold(6);
  move.moving = Limb::kLeftHand;
  move.target = move::tests::on_hold(2, Grip::kJug);
  scene.moves.push_back(move);
  return scene;
}

void time_feet() {
  const move::Scene scene = make_twelve_footholds();
  const body::Body body = body::make_body(scene.climber.measures);
  int total = 0;
  move::FootOptions options;
  options.on_progress = [&total](int /*done*/, int n) {
    total = n;
    return true;
  };
  const double start_ms = find_processor_ms();
  const auto start = std::chrono::steady_clock::now();
  const std::vector<move::FootChoice> choices = move::find_feet(scene, body, scene.moves[0], options);
  const double took_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  fmt::print("feet over 12 holds, {} threads: {:.2f} s wall, {:.2f} s processor, {:.2f} of {:.0f} s; {} placements\n",
             options.n_threads, took_s, 1e-3 * (find_processor_ms() - start_ms), took_s / kFeetTarget_s, kFeetTarget_s,
             total - 10 * options.traced);
  for (const move::FootChoice& choice : choices) {
    fmt::print("  {:>5.1f} %  {}: {}{}\n", 100.0 * choice.result.effort_peak, choice.places, choice.reason,
               choice.is_given ? " (as given)" : "");
  }
  fmt::print("\n");
}

void time_remedies() {
  move::Scene scene = move::tests::make_reach_scene(45.0);
  scene.climber.fingers.edge_force_N = 300.0;
  move::RemedyOptions options;
  options.threads = 2;
  const double start_ms = find_processor_ms();
  const auto start = std::chrono::steady_clock::now();
  const std::vector<move::RemedyResult> results = move::solve_remedies(scene, scene.moves[0], options);
  const double took_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  fmt::print("remedies of one move, {} threads: {:.1f} s wall, {:.1f} s processor\n", options.threads, took_s,
             1e-3 * (find_processor_ms() - start_ms));
  for (const move::RemedyResult& result : results) {
    fmt::print("  {:<17} {:>8} in {} runs\n", name_of(result.remedy),
               result.amount ? fmt::format("{:.4f}", *result.amount) : "-", result.runs);
  }
}

}  // namespace
}  // namespace steepwright::bench

int main(int argc, char** argv) {
  steepwright::bench::time_demo_scenes();
  steepwright::bench::time_feet();
  steepwright::bench::time_remedies();
  steepwright::bench::watch_memory(argc > 1 ? std::atoi(argv[1]) : 10000);
  return 0;
}
