// Contact forces: the engine beside GLPK and Clp in one program, so that the ratios do not depend on the machine.
//
// Sets: S4, 1,000 stances of four contacts (exact cones against 8-edge pyramids, LP of 10 rows and 33 columns); S4q,
// those with a margin of at least 0.05; full, 300 whole bodies (8 points, 24 unknowns, 38 torque rows). Each figure is
// the median over instances of the best of five runs. "Loaded": the peer's model stands ready and only the solve from
// the slack basis is timed; "from data": model built and solved, as the engine's time is.

#include "engine/statics/distribution.h"
#include "engine/statics/effort.h"
#include "engine/statics/friction.h"
#include "engine/statics/margin.h"
#include "tests/peers/lp/lp_solvers.h"
#include "tests/statics/stances.h"
#include "tests/support/malloc_guard.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <memory>
#include <string>
#include <vector>

namespace {

using namespace steepwright;
using namespace steepwright::tests;
using statics::Status;

constexpr int kRuns = 5;

std::size_t engine_allocations = 0;  // of the timed calls; the peers' are measured after it has been read

double find_median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

/// Median over i < n of the best time of solve(i), us; prepare(i) is not timed.
template <typename Prepare, typename Solve>
double measure(std::size_t n, Prepare&& prepare, Solve&& solve) {
  std::vector<double> best(n, 1e300);
  for (int run = 0; run < kRuns; ++run) {
    for (std::size_t i = 0; i < n; ++i) {
      prepare(i);
      const std::size_t allocations = allocation_count();
      const auto start = std::chrono::steady_clock::now();
      solve(i);
      const std::chrono::duration<double, std::micro> time = std::chrono::steady_clock::now() - start;
      engine_allocations += allocation_count() - allocations;
      best[i] = std::min(best[i], time.count());
    }
  }
  return find_median(best);
}

template <typename Solve>
double measure(std::size_t n, Solve&& solve) {
  return measure(
      n, [](std::size_t) {}, solve);
}

struct Line {
  std::string what;
  double time_us;
  double target_us;  // 0: none
  std::string note;
};

void print(const Line& line) {
  fmt::print("{:<52}{:>9.1f} us", line.what, line.time_us);
  if (line.target_us > 0.0) fmt::print("   target {:>5.0f}", line.target_us);
  fmt::print("   {}\n", line.note);
}

}  // namespace

int main() {
  RandomStream random(4);
  std::vector<StaticsProblem> s4, s4q, full;
  for (int i = 0; i < 1000; ++i) s4.push_back(make_s4(random));
  for (int i = 0; i < 300; ++i) full.push_back(make_full(random));

  auto margin = std::make_unique<statics::MarginWorkspace>();
  auto distribution = std::make_unique<statics::DistributionWorkspace>();
  auto effort = std::make_unique<statics::EffortWorkspace>();
  auto friction = std::make_unique<statics::FrictionWorkspace>();

  int solved = 0;
  double iterations = 0.0;
  for (const StaticsProblem& problem : s4) {
    const statics::Margin m = solve_margin(problem, *margin);
    solved += m.status == Status::kSolved ? 1 : 0;
    iterations += m.iterations;
    if (m.margin_N >= 0.05) s4q.push_back(problem);
  }
  fmt::print("S4: {} of {} solved, {:.1f} iterations, S4q: {} stances\n\n", solved, s4.size(),
             iterations / static_cast<double>(s4.size()), s4q.size());

  std::vector<LinearProgram> programs;
  std::vector<std::unique_ptr<LpSolver>> glpk, clp;
  for (const StaticsProblem& problem : s4) {
    programs.push_back(make_generator_margin_program(problem, 8));
    glpk.push_back(make_glpk_solver(programs.back()));
    clp.push_back(make_clp_solver(programs.back()));
  }

  const double s4_margin = measure(s4.size(), [&](std::size_t i) { static_cast<void>(solve_margin(s4[i], *margin)); });
  const double s4_friction =
      measure(s4.size(), [&](std::size_t i) { static_cast<void>(solve_needed_friction(s4[i], {}, *friction)); });
  statics::DistributionOptions at_full_strength;
  at_full_strength.effort_bound = 1.0;
  const double s4q_cold = measure(
      s4q.size(), [&](std::size_t) { distribution->reset(); },
      [&](std::size_t i) { static_cast<void>(solve_distribution(s4q[i], at_full_strength, *distribution)); });
  const double full_cold = measure(
      full.size(), [&](std::size_t) { distribution->reset(); },
      [&](std::size_t i) { static_cast<void>(solve_distribution(full[i], {}, *distribution)); });
  statics::DistributionOptions soft;
  soft.equilibrium = statics::DistributionOptions::Equilibrium::kSoft;
  const double full_soft = measure(
      full.size(), [&](std::size_t) { distribution->reset(); },
      [&](std::size_t i) { static_cast<void>(solve_distribution(full[i], soft, *distribution)); });
  // Warm: the centre of mass 5 mm away, as between two steps of the posture search.
  std::vector<StaticsProblem> moved = full;
  for (StaticsProblem& problem : moved) problem.p_Wcm += Vec3(0.003, 0.003, 0.003);
  const auto measure_warm = [&](const statics::DistributionOptions& options) {
    return measure(
        full.size(), [&](std::size_t i) { static_cast<void>(solve_distribution(full[i], options, *distribution)); },
        [&](std::size_t i) { static_cast<void>(solve_distribution(moved[i], options, *distribution)); });
  };
  const double full_warm = measure_warm({});
  const double soft_warm = measure_warm(soft);
  const double full_effort =
      measure(full.size(), [&](std::size_t i) { static_cast<void>(solve_effort(full[i], *effort)); });
  const double full_friction =
      measure(full.size(), [&](std::size_t i) { static_cast<void>(solve_needed_friction(full[i], {}, *friction)); });
  const std::size_t own = engine_allocations;

  const double glpk_time = measure(glpk.size(), [&](std::size_t i) { static_cast<void>(glpk[i]->solve()); });
  const double clp_time = measure(clp.size(), [&](std::size_t i) { static_cast<void>(clp[i]->solve()); });

  const double glpk_whole =
      measure(programs.size(), [&](std::size_t i) { static_cast<void>(make_glpk_solver(programs[i])->solve()); });
  const double clp_whole =
      measure(programs.size(), [&](std::size_t i) { static_cast<void>(make_clp_solver(programs[i])->solve()); });

  print({"S4 margin, exact cones", s4_margin, 20.0, ""});
  print({"S4 GLPK, 8-edge LP, loaded", glpk_time, 0.0, ""});
  print({"S4 GLPK, 8-edge LP, from data", glpk_whole, 0.0, ""});
  print({"S4 Clp, 8-edge LP, loaded", clp_time, 0.0, ""});
  print({"S4 Clp, 8-edge LP, from data", clp_whole, 0.0, ""});
  print({"S4 needed friction, exact cones", s4_friction, 0.0, ""});
  print({"S4q distribution, exact cones and caps, cold", s4q_cold, 6.0, ""});
  print({"full distribution, exact equilibrium, cold", full_cold, 40.0, ""});
  print({"full distribution, exact equilibrium, warm 5 mm", full_warm, 15.0, ""});
  print({"full distribution, soft equilibrium, cold", full_soft, 40.0, ""});
  print({"full distribution, soft equilibrium, warm 5 mm", soft_warm, 15.0, ""});
  print({"full effort", full_effort, 150.0, ""});
  print({"full needed friction", full_friction, 150.0, ""});
  fmt::print(
      "\nS4, peer / engine:  Clp loaded {:.1f}, from data {:.1f} (target 8);  GLPK loaded {:.2f}, from data {:.2f} "
      "(target 1)\n",
      clp_time / s4_margin, clp_whole / s4_margin, glpk_time / s4_margin, glpk_whole / s4_margin);
  fmt::print("allocations of all engine solves: {}\n", own);
  return 0;
}
