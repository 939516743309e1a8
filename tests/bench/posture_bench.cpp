/// Posture benchmarks: engine beside Ceres and Ipopt on the same instances, in one program. Every benchmark runs its
/// whole set once; the time shown is the median instance. Pick by --benchmark_filter=K4/ and the like.

#include "tests/bench/posture_sets.h"

#include <benchmark/benchmark.h>

namespace {

using steepwright::bench::Outcome;
using steepwright::bench::Outcomes;
using steepwright::bench::Run;

void register_run(const Run& run, Outcomes& outcomes) {
  benchmark::RegisterBenchmark(run.name.c_str(),
                               [run, &outcomes](benchmark::State& state) {
                                 Outcome outcome;
                                 for (auto _ : state) {
                                   outcome = run.measure();
                                   state.SetIterationTime(outcome.median_s());
                                 }
                                 state.counters["p95_us"] = 1e6 * outcome.quantile_s(0.95);
                                 state.counters["solved"] = outcome.n_solved;
                                 state.counters["of"] = outcome.n_total;
                                 state.counters["iterations"] = outcome.iterations;
                                 if (outcome.mean_value != 0.0) state.counters["mean_value"] = outcome.mean_value;
                                 if (outcome.n_allocations >= 0)
                                   state.counters["allocations"] = static_cast<double>(outcome.n_allocations);
                                 outcomes[run.name] = outcome;
                               })
      ->Iterations(1)
      ->UseManualTime()
      ->Unit(benchmark::kMicrosecond);
}

}  // namespace

int main(int argc, char** argv) {
  using namespace steepwright::bench;
  benchmark::Initialize(&argc, argv);
  if (benchmark::ReportUnrecognizedArguments(argc, argv)) return 1;
  std::vector<Run> runs;
  add_contact_runs(runs);
  add_margin_runs(runs);
  add_stance_runs(runs);
  Outcomes outcomes;
  for (const Run& run : runs) register_run(run, outcomes);
  benchmark::RunSpecifiedBenchmarks();
  print_table(outcomes, {{"K4, inverse kinematics", "K4/engine", "K4/ceres_cholesky", 30.0, 0.0},
                         {"K4, against Ceres with QR", "K4/engine", "K4/ceres_qr", 30.0, 0.0},
                         {"K4H, targets far apart", "K4H/engine", "K4H/ceres_cholesky", 30.0, 0.0},
                         {"K4 tracking 10 mm", "K4track/engine", "K4track/ceres_cholesky", 0.0, 0.0},
                         {"P4, posture with forces", "P4/engine", "P4/ipopt", 10.0, 0.0},
                         {"whole stance, cold", "stance/cold", "", 0.0, 3e-3},
                         {"whole stance, warm", "stance/warm", "", 0.0, 5e-4}});
  print_optimum(outcomes, "P4/engine", "P4/ipopt", 0.01);
  return 0;
}
