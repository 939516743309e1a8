/// Throughput of studies.

#include "engine/io/scene_file.h"
#include "engine/study/reach_flood.h"
#include "engine/study/reach_map.h"

#include <fmt/format.h>

#include <chrono>
#include <cstdlib>
#include <ctime>
#include <map>

using namespace steepwright;

namespace {

double run_map(const move::Scene& scene, const body::Body& body, const study::ReachQuestion& question, int threads,
               double pitch, study::ReachMap& map) {
  study::ReachOptions options;
  options.n_threads = threads;
  options.pitch_m = pitch;
  const auto start = std::chrono::steady_clock::now();
  const std::clock_t cpu = std::clock();
  map = study::make_reach_map(scene, body, question, options);
  fmt::print(stderr, "wall {:.2f} s, cpu {:.2f} s\n", std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count(), static_cast<double>(std::clock() - cpu) / CLOCKS_PER_SEC);
  return static_cast<double>(std::clock() - cpu) / CLOCKS_PER_SEC / threads;
}

void print_map(const study::ReachMap& map, double seconds, int threads) {
  int held = 0, posture = 0, coarse = 0;
  std::map<std::string, int> causes;
  for (const auto& place : map.places) {
    held += place.is_held ? 1 : 0;
    posture += place.has_posture ? 1 : 0;
    coarse += place.is_coarse ? 1 : 0;
    causes[std::string(move::name_of(place.cause))]++;
  }
  fmt::print(stderr, "{} threads: {:.2f} s, {} places ({} coarse, {} with posture, {} held), {} stances, {:.0f} stances/s/core, border {} segments\n",
             threads, seconds, map.places.size(), coarse, posture, held, map.n_solved, static_cast<double>(map.n_solved) / seconds / threads, map.border.size());
  for (const auto& [cause, n] : causes) fmt::print(stderr, "   {} {}\n", cause, n);
}

}  // namespace

void compare_cold(const move::Scene& scene, const body::Body& body, const study::ReachQuestion& question, const study::ReachMap& map) {
  study::ReachGoals goals(scene, body, question);
  study::WarmStance warm(body);
  const std::clock_t cpu = std::clock();
  int n = 0, both = 0, only_map = 0, only_cold = 0, lower = 0; double sum_map = 0, sum_cold = 0; int ncold=0;
  for (const auto& place : map.places) {
    if (!place.is_coarse || !goals.is_within_bones(goals.find_contact(place.strip, place.across_m, place.up_m))) continue;
    ++n;
    study::ForearmBins bins;
    posture::StanceAnswer answer;
    answer = posture::solve_stance(goals.make_touch(bins, place.strip, place.across_m, place.up_m), {}, nullptr, warm.workspace());
    for (int pass = 0; pass < 2 && answer.has_posture; ++pass) {
      body::update_kinematics(body.tree, answer.posture, warm.workspace().search.posture.kinematics);
      const auto found = goals.find_bins(warm.kinematics(), bins);
      if (found == bins) break;
      bins = found;
      const body::Posture from = answer.posture;
      answer = posture::solve_stance(goals.make_touch(bins, place.strip, place.across_m, place.up_m), {}, &from, warm.workspace());
    }
    const bool cold = answer.is_held();
    both += cold && place.is_held; only_map += !cold && place.is_held; only_cold += cold && !place.is_held;
    ncold += answer.has_posture;
    if (cold && place.is_held) { sum_map += place.effort; sum_cold += answer.effort.rho; lower += place.effort < answer.effort.rho + 0.01; }
    if (cold && !place.is_held && std::getenv("SHOW")) fmt::print(stderr, "  missed strip {} {:.2f} {:.2f} cold rho {:.3f} map effort {:.3f} posture {}\n", place.strip, place.across_m, place.up_m, answer.effort.rho, place.effort, place.has_posture);
  }
  fmt::print(stderr, "cold: {:.2f} s cpu, {} within bones, both {} only map {} only cold {}; cold posture {}; mean effort map {:.3f} cold {:.3f}, map not higher {}\n",
             static_cast<double>(std::clock() - cpu) / CLOCKS_PER_SEC, n, both, only_map, only_cold, ncold, sum_map / both, sum_cold / both, lower);
}

int main(int argc, char** argv) {
  const double pitch = argc > 1 ? std::atof(argv[1]) : 0.025;
  const auto loaded = io::load_default_scene();
  if (!loaded) return 1;
  const move::Scene& scene = loaded->scene;
  const body::Body body = body::make_body(scene.climber.measures);
  for (const auto& move : scene.moves) {
    study::ReachQuestion question;
    question.stance = move.before;
    question.moving = move.moving;
    fmt::print(stderr, "{}\n", move.name);
    if (argc > 2 && move.name != argv[2]) continue;
    for (const int threads : {1}) {
      study::ReachMap map;
      const double seconds = run_map(scene, body, question, threads, pitch, map);
      print_map(map, seconds, threads);
      if (const char* dump = std::getenv("DUMP")) {
        std::FILE* f = std::fopen(dump, "w");
        for (const auto& place : map.places) if (place.strip == 1) fmt::print(f, "{} {} {} {} {} {} {}\n", place.i, place.j, place.is_coarse ? 1 : 0, place.has_posture ? 1 : 0, place.is_held ? 1 : 0, place.effort, static_cast<int>(place.cause));
        std::fclose(f);
      }
      if (std::getenv("COLD") && *std::getenv("COLD") == 49) compare_cold(scene, body, question, map);
    }
  }
  return 0;
}
