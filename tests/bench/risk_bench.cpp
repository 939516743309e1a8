// Risk of a move: draws a second, how often the exact program is needed, and how far the estimates are from it.
//
// For every move of the shipped demo scenes: processor time of calc_risk on one core (best of three), share of
// questions that neither a check nor a proof answered, and against the exact effort of 50 draws in every frame:
// questions answered otherwise (must be none) and the error of the effort's estimate.
//   risk_bench [part of a move's name]

#include "engine/body/body.h"
#include "engine/core/units.h"
#include "engine/io/scene_file.h"
#include "engine/move/goals.h"
#include "engine/move/risk.h"
#include "engine/move/risk_frame.h"
#include "engine/move/solve.h"
#include "tests/bench/processor_time.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

namespace {

using namespace steepwright;

constexpr int kRuns = 3;
constexpr int kComparedDraws = 50;

struct Comparison {
  int asked = 0, otherwise = 0;
  double largest_error = 0.0, sum_error = 0.0;
  int estimated = 0;
};

Comparison compare(const body::Body& body, const move::MoveResult& result, const move::RiskOptions& options) {
  Comparison comparison;
  std::size_t n_places = 0;
  const auto places = move::find_risk_places(result, n_places);
  const auto workspace = std::make_unique<move::RiskWorkspace>();
  for (std::size_t i = 0; i < result.frames.size(); ++i) {
    if (!result.frames[i].has_posture) continue;
    move::RiskFrame frame(body, result.frames[i], places[i], *workspace);
    for (int d = 0; d < kComparedDraws; ++d) {
      const move::RiskDraw draw = move::make_risk_draw(options, n_places, static_cast<std::uint64_t>(d));
      const auto answer = frame.ask(draw, *workspace);
      const auto exact = frame.solve(draw, *workspace);
      const bool is_held = exact.status == statics::Status::kSolved && exact.rho <= 1.0 + 1e-6;
      ++comparison.asked;
      if (is_held != answer.is_held && std::abs(exact.rho - 1.0) > 1e-5) ++comparison.otherwise;
      if (!std::isfinite(exact.rho) || !std::isfinite(answer.effort)) continue;
      const double error = std::abs(answer.effort - exact.rho);
      ++comparison.estimated;
      comparison.sum_error += error;
      comparison.largest_error = std::max(comparison.largest_error, error);
    }
  }
  return comparison;
}

void measure(const std::string& scene_name, const body::Body& body, const move::MoveResult& result) {
  move::RiskOptions options;
  double best_ms = 1e300;
  std::optional<move::MoveRisk> risk;
  for (int run = 0; run < kRuns; ++run) {
    const double start_ms = bench::find_processor_ms();
    risk = move::calc_risk(body, result, options);
    best_ms = std::min(best_ms, bench::find_processor_ms() - start_ms);
  }
  const auto questions = static_cast<double>(risk->frames.size()) * options.draws;
  const Comparison comparison = compare(body, result, options);
  fmt::print("{:<12}{:<30}{:>7}{:>9.1f}{:>9.2f}{:>8.1f}{:>8.1f}{:>7}{:>9.4f}{:>9.4f}\n", scene_name, result.name,
             risk->frames.size(), best_ms, 1e3 * best_ms / questions, 100.0 * risk->fail_share,
             100.0 * static_cast<double>(risk->exact_solves) / questions, comparison.otherwise,
             comparison.sum_error / std::max(1, comparison.estimated), comparison.largest_error);
}

}  // namespace

int main(int argc, char** argv) {
  const std::string wanted = argc > 1 ? argv[1] : "";
  fmt::print("{:<12}{:<30}{:>7}{:>9}{:>9}{:>8}{:>8}{:>7}{:>9}{:>9}\n", "scene", "move", "frames", "ms", "us each",
             "fail %", "exact %", "wrong", "mean err", "most err");
  std::vector<std::filesystem::path> files;
  for (const auto& entry : std::filesystem::directory_iterator(STEEPWRIGHT_SOURCE_DIR "/scenes/demo")) {
    if (entry.path().extension() == ".toml") files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  for (const auto& file : files) {
    const auto loaded = io::load_scene(file);
    if (!loaded) continue;
    const body::Body body = body::make_body(loaded->scene.climber.measures);
    for (const move::Move& asked : loaded->scene.moves) {
      if (asked.name.find(wanted) == std::string::npos) continue;
      posture::StanceWorkspace workspace(body);
      grip::CapacityCache hands(move::make_climber_hand(loaded->scene.climber, body));
      measure(file.stem().string(), body, move::solve_move(loaded->scene, body, asked, {}, workspace, hands));
    }
  }
  return 0;
}
