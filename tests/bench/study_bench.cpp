/// Throughput of studies: reach maps, warm stances, samples on one and two threads, memory over a million samples, and
/// the map's border against bisection. `study_bench [border|maps|samples|warm]`.

#include "engine/io/scene_file.h"
#include "engine/io/study_journal.h"
#include "engine/study/bodies.h"
#include "engine/study/hand_out.h"
#include "engine/study/reach_goals.h"
#include "engine/study/reach_map.h"
#include "engine/study/warm_stance.h"
#include "tests/bench/processor_time.h"
#include "tests/support/border_count.h"

#include <fmt/format.h>
#include <sys/resource.h>

#include <chrono>
#include <cmath>
#include <filesystem>
#include <string>

namespace steepwright::bench {

namespace {

double find_seconds(std::chrono::steady_clock::time_point since) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - since).count();
}

double find_peak_MB() {
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  return static_cast<double>(usage.ru_maxrss) / 1024.0;
}

struct Setting {
  move::Scene scene;
  body::Body body;
  study::ReachQuestion question;
};

Setting make_setting(const move::Scene& scene, int move) {
  Setting setting{scene, body::make_body(scene.climber.measures), {}};
  setting.question.stance = scene.moves[static_cast<std::size_t>(move)].before;
  setting.question.moving = scene.moves[static_cast<std::size_t>(move)].moving;
  return setting;
}

void run_map(const Setting& setting, int refine, int n_threads) {
  study::ReachOptions options;
  options.refine = refine;
  options.n_threads = n_threads;
  const auto start = std::chrono::steady_clock::now();
  const double cpu_s = find_processor_s();
  const study::ReachMap map = study::make_reach_map(setting.scene, setting.body, setting.question, options);
  const double wall_s = find_seconds(start);
  const double used_s = find_processor_s() - cpu_s;
  fmt::print("{:>7} {:>7} {:>8} {:>8} {:>8.2f} {:>8.2f} {:>12.0f} {:>16.0f}\n", refine, n_threads, map.places.size(),
             map.n_solved, wall_s, used_s, static_cast<double>(map.places.size()) / wall_s,
             static_cast<double>(map.n_solved) / used_s);
  std::fflush(stdout);
}

void run_maps(const move::Scene& scene) {
  for (const int move : {0, 2}) {
    fmt::print("reach map, stance before '{}', 25 mm\n", scene.moves[static_cast<std::size_t>(move)].name);
    fmt::print("{:>7} {:>7} {:>8} {:>8} {:>8} {:>8} {:>12} {:>16}\n", "refine", "threads", "places", "stances",
               "wall s", "cpu s", "places/s", "stances/cpu s");
    for (const int refine : {1, 5}) {
      for (const int threads : {1, 2}) run_map(make_setting(scene, move), refine, threads);
    }
  }
}

void run_border(const move::Scene& scene) {
  constexpr int kLines = 200, kStrip = 1;
  Setting setting = make_setting(scene, 0);
  setting.question.strips = {kStrip};
  study::ReachOptions options;
  options.keep_proofs = true;
  double cpu_s = find_processor_s();
  const study::ReachMap map = study::make_reach_map(setting.scene, setting.body, setting.question, options);
  tests::Bisection bisection(setting.scene, setting.body, setting.question, kStrip);
  fmt::print("border: map in {:.1f} s of processor time\n", find_processor_s() - cpu_s);
  cpu_s = find_processor_s();
  int n_held = 0, n_stand = 0;
  for (std::size_t k = 0; k < map.places.size(); ++k) {
    if (!map.places[k].is_held) continue;
    ++n_held;
    const Eigen::Vector2d place(map.places[k].across_m, map.places[k].up_m);
    n_stand += study::is_enough(bisection.find_effort(place, {map.proofs[k].forearm_bins}, map.proofs[k].posture));
  }
  fmt::print("{} of {} places' postures hold by exact statics\n", n_stand, n_held);
  const tests::BorderCount count = tests::count_border(map, bisection, kLines);
  fmt::print(
      "{} of {} lines start on held ground: {} end within 5 mm of the map's border, {} short of it where the map's "
      "posture holds, {} short of it where it does not, {} further out; {:.0f} s of processor time\n",
      count.n_lines, kLines, count.n_near, count.n_proven, count.n_wrong(), count.n_further,
      find_processor_s() - cpu_s);
  for (const tests::Missed& missed : count.missed) {
    fmt::print("{:.0f} mm further at {:.0f} across, {:.0f} up\n", 1e3 * missed.by_m, 1e3 * missed.border_m.x(),
               1e3 * missed.border_m.y());
  }
}

struct Times {
  double wall_s = 0.0, cpu_s = 0.0;
};

Times time_bodies(const move::Scene& scene, std::int64_t first, std::int64_t end, int n_threads) {
  study::BodiesQuestion question;
  study::HandOut hand_out;
  hand_out.first = first;
  hand_out.end = end;
  hand_out.chunk = 4;
  hand_out.n_threads = n_threads;
  hand_out.make_worker = [&] {
    return [&](std::int64_t sample, const std::string& /*told*/) {
      return study::judge_person(scene, study::find_person(question, scene.climber, sample), question.judging).text;
    };
  };
  hand_out.take = [](std::int64_t, const std::vector<std::string>&) { return true; };
  const auto start = std::chrono::steady_clock::now();
  const double cpu_s = find_processor_s();
  static_cast<void>(study::run_on_threads(hand_out));
  return {find_seconds(start), find_processor_s() - cpu_s};
}

/// Samples that cost next to nothing: what is left is the hand-out, the file and their memory.
void run_million(std::int64_t n) {
  const std::string path = (std::filesystem::temp_directory_path() / "steepwright_study_bench.jsonl").string();
  std::remove(path.c_str());
  std::int64_t n_rows = 0;
  auto journal =
      io::StudyJournal::open(path, {{"study", "bench"}}, [&n_rows](const io::Json&) { return ++n_rows > 0; });
  if (!journal) return;
  study::HandOut hand_out;
  hand_out.end = n;
  hand_out.chunk = 1000;
  hand_out.make_worker = [] {
    return [](std::int64_t sample, const std::string& /*told*/) {
      return "{\"sample\":" + std::to_string(sample) + ",\"effort\":0.5}";
    };
  };
  hand_out.take = [&](std::int64_t, const std::vector<std::string>& rows) { return journal->append(rows).has_value(); };
  const auto start = std::chrono::steady_clock::now();
  const double before_MB = find_peak_MB();
  static_cast<void>(study::run_on_threads(hand_out));
  fmt::print("{:>9} samples: {:6.2f} s, {:.2f} us each, peak memory {:.1f} -> {:.1f} MB\n", n, find_seconds(start),
             1e6 * find_seconds(start) / static_cast<double>(n), before_MB, find_peak_MB());
  std::remove(path.c_str());
}

void run_samples(move::Scene scene) {
  for (const std::int64_t n : {10'000, 100'000, 1'000'000}) run_million(n);
  scene.moves.resize(1);
  static_cast<void>(time_bodies(scene, 0, 4, 1));
  // Bodies differ in what they cost, so the same ones are compared: all in one study, and in quarters.
  constexpr std::int64_t kQuarter = 40;
  double parts_s = 0.0;
  for (int k = 0; k < 4; ++k) {
    const Times part = time_bodies(scene, k * kQuarter, (k + 1) * kQuarter, 1);
    fmt::print("bodies {} to {}: {:.2f} s of processor time\n", k * kQuarter, (k + 1) * kQuarter - 1, part.cpu_s);
    parts_s += part.cpu_s;
  }
  const Times one = time_bodies(scene, 0, 4 * kQuarter, 1);
  const Times two = time_bodies(scene, 0, 4 * kQuarter, 2);
  fmt::print(
      "bodies: {:.1f}/s on one thread; all in one study take {:.2f} times the processor time of its quarters; two "
      "threads are {:.2f} times as fast as one, at {:.2f} times its processor time\n",
      4.0 * kQuarter / one.wall_s, one.cpu_s / parts_s, one.wall_s / two.wall_s, two.cpu_s / one.cpu_s);
}

/// Stances solved from a neighbour 25 mm away, there and back over held ground.
void run_warm(const move::Scene& scene) {
  constexpr int kSteps = 4000, kThere = 16, kStrip = 1;
  constexpr double kStep_m = 0.025, kAcross_m = 0.8, kUp_m = 1.2;
  const Setting setting = make_setting(scene, 0);
  study::ReachGoals goals(setting.scene, setting.body, setting.question);
  study::WarmStance warm(setting.body);
  const posture::StanceProblem first = goals.make_touch({}, kStrip, kAcross_m, kUp_m);
  body::Posture posture = posture::solve_stance(first, {}, nullptr, warm.workspace()).posture;
  int n_held = 0;
  const double cpu_s = find_processor_s();
  for (int k = 0; k < kSteps; ++k) {
    const int step = k % (2 * kThere) < kThere ? k % (2 * kThere) : 2 * kThere - k % (2 * kThere);
    const study::WarmAnswer answer =
        warm.solve(goals.make_touch({}, kStrip, kAcross_m + kStep_m * step, kUp_m), posture, study::Care::kThorough);
    if (!answer.has_posture) continue;
    posture = answer.posture;
    n_held += answer.is_held ? 1 : 0;
  }
  fmt::print("warm stances: {:.0f} a second of processor time, {} of {} held\n", kSteps / (find_processor_s() - cpu_s),
             n_held, kSteps);
}

int run(const std::string& what) {
  const auto loaded = io::load_default_scene();
  if (!loaded) return 1;
  if (what.empty() || what == "samples") run_samples(loaded->scene);
  if (what.empty() || what == "warm") run_warm(loaded->scene);
  if (what.empty() || what == "maps") run_maps(loaded->scene);
  if (what.empty() || what == "border") run_border(loaded->scene);
  return 0;
}

}  // namespace

}  // namespace steepwright::bench

int main(int argc, char** argv) { return steepwright::bench::run(argc > 1 ? argv[1] : ""); }
