// A finger's program: the engine beside GLPK and Clp in one program, so that the ratios do not depend on the machine.
// Then what is made of it: the capacity set of a hand, its cache, the calibration of a hand.
//
// Sets: 200 random fingers on random outlines, load along a pull (12 to 30 groups, up to 70 columns); 60 random sites,
// each with the three ways to bend the fingers. Figures are medians over instances of the best of several runs.
// "Loaded": the peer's model stands ready and only the solve from the slack basis is timed; "from data": model built
// and solved, as the engine's time is.

#include "tests/grip/finger_cases.h"
#include "tests/grip/sweeps.h"
#include "tests/peers/lp/finger_programs.h"
#include "tests/peers/lp/lp_solvers.h"
#include "tests/support/malloc_guard.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <memory>
#include <string>
#include <vector>

namespace {

using namespace steepwright;
using namespace steepwright::tests;

constexpr int kRuns = 7;
constexpr std::size_t kPrograms = 200;
constexpr std::size_t kSites = 60;

/// Value below which the given share of the others lies.
double find_quantile(std::vector<double> values, double share) {
  const auto place = values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1) + 0.5);
  std::nth_element(values.begin(), place, values.end());
  return *place;
}

/// Best time of solve(i) over some runs for each i < n, us.
template <typename Solve>
std::vector<double> measure(std::size_t n, const Solve& solve) {
  std::vector<double> best(n, 1e300);
  for (int run = 0; run < kRuns; ++run) {
    for (std::size_t i = 0; i < n; ++i) {
      const auto start = std::chrono::steady_clock::now();
      solve(i);
      const std::chrono::duration<double, std::micro> time = std::chrono::steady_clock::now() - start;
      best[i] = std::min(best[i], time.count());
    }
  }
  return best;
}

struct Figure {
  double median_us = 0.0, p95_us = 0.0;
};

template <typename Solve>
Figure measure_figure(std::size_t n, const Solve& solve) {
  const std::vector<double> times = measure(n, solve);
  return {find_quantile(times, 0.5), find_quantile(times, 0.95)};
}

void print(const std::string& what, const Figure& figure, double target_us, const std::string& note = "") {
  fmt::print("{:<50}{:>10.2f} us{:>10.2f} us", what, figure.median_us, figure.p95_us);
  fmt::print("{}   {}\n", target_us > 0.0 ? fmt::format("{:>9.0f} us", target_us) : std::string(12, ' '), note);
}

void bench_programs() {
  const std::vector<FingerCase> cases = draw_bearing_cases(7, kPrograms);
  grip::FingerProgram program;
  std::vector<LinearProgram> copies;
  std::vector<std::unique_ptr<LpSolver>> glpk;
  std::vector<std::unique_ptr<LpSolver>> clp;
  double sum_N = 0.0;
  double steps = 0.0;
  for (const FingerCase& drawn : cases) {
    build(drawn, program);
    sum_N += program.solve_along(grip::pull_direction(drawn.pull));
    steps += program.program().steps();
    copies.push_back(copy_program(program.program()));
    glpk.push_back(make_glpk_solver(copies.back()));
    clp.push_back(make_clp_solver(copies.back()));
  }
  const Figure seat = measure_figure(cases.size(), [&](std::size_t i) { build(cases[i], program); });
  const Figure engine = measure_figure(cases.size(), [&](std::size_t i) {
    build(cases[i], program);
    (void)program.solve_along(grip::pull_direction(cases[i].pull));
  });
  const Figure glpk_loaded = measure_figure(glpk.size(), [&](std::size_t i) { (void)glpk[i]->solve(); });
  const Figure clp_loaded = measure_figure(clp.size(), [&](std::size_t i) { (void)clp[i]->solve(); });
  const Figure glpk_whole =
      measure_figure(copies.size(), [&](std::size_t i) { (void)make_glpk_solver(copies[i])->solve(); });
  const Figure clp_whole =
      measure_figure(copies.size(), [&](std::size_t i) { (void)make_clp_solver(copies[i])->solve(); });

  print("finger program, built and solved cold", engine, 0.0,
        fmt::format("{:.1f} steps, sum {:.9f} N", steps / static_cast<double>(cases.size()), sum_N));
  print("  of it building", seat, 0.0);
  print("GLPK, loaded", glpk_loaded, 0.0, fmt::format("{:.1f} times", glpk_loaded.median_us / engine.median_us));
  print("GLPK, from data", glpk_whole, 0.0, fmt::format("{:.1f} times", glpk_whole.median_us / engine.median_us));
  print("Clp, loaded", clp_loaded, 0.0, fmt::format("{:.1f} times", clp_loaded.median_us / engine.median_us));
  print("Clp, from data", clp_whole, 0.0, fmt::format("{:.1f} times", clp_whole.median_us / engine.median_us));
}

std::vector<hold::Site> draw_sites() {
  RandomStream random(8);
  std::vector<hold::Site> sites;
  while (sites.size() < kSites) {
    hold::Site site;
    site.width_m = 0.12;
    site.depth_m = random.uniform(0.006, 0.045);
    site.incut = rad_from_deg(random.uniform(-10.0, 25.0));
    site.lip_radius_m = random.uniform(0.0, 0.015);
    site.mouth_m = random.uniform() < 0.2 ? random.uniform(0.018, 0.040) : 0.0;
    sites.push_back(site);
  }
  return sites;
}

void bench_hands() {
  const grip::Hand hand = make_sweep_hand();
  const std::vector<hold::Site> sites = draw_sites();
  std::vector<grip::HandTask> tasks;
  for (const hold::Site& site : sites) {
    for (const Grip grip : kSweptGrips) tasks.push_back({&site, grip, &hand, rad_from_deg(30.0)});
  }
  grip::FingerSearch search;
  double sum_N = 0.0;
  (void)grip::calc_hand_fan(tasks.front(), search);  // forms are made at first use
  const std::size_t before = allocation_count();
  for (const grip::HandTask& task : tasks) sum_N += grip::calc_hand_fan(task, search).force_N[4];
  const std::size_t allocations = allocation_count() - before;

  for (const Grip grip : kSweptGrips) {
    std::vector<grip::HandTask> of_grip;
    for (const grip::HandTask& task : tasks) {
      if (task.grip == grip) of_grip.push_back(task);
    }
    print(fmt::format("capacity set, {}", name_of(grip)),
          measure_figure(of_grip.size(), [&](std::size_t i) { (void)grip::make_hand_capacity(of_grip[i], search); }),
          2000.0);
  }
  print("capacity set, all grips",
        measure_figure(tasks.size(), [&](std::size_t i) { (void)grip::make_hand_capacity(tasks[i], search); }), 2000.0,
        fmt::format("sum {:.9f} N", sum_N));

  for (const Grip grip : kSweptGrips) {
    std::vector<grip::HandTask> of_grip;
    std::vector<grip::HandLeads> leads;
    for (grip::HandTask task : tasks) {
      if (task.grip != grip) continue;
      task.forearm_swing = 0.0;
      (void)grip::calc_hand_fan(task, search, &leads.emplace_back());
      task.forearm_swing = rad_from_deg(30.0);
      of_grip.push_back(task);
    }
    print(fmt::format("  turned from another forearm, {}", name_of(grip)),
          measure_figure(of_grip.size(),
                         [&](std::size_t i) {
                           (void)grip::make_capacity_set(of_grip[i], grip::turn_hand_fan(of_grip[i], leads[i], search));
                         }),
          2000.0);
  }

  grip::CapacityCache cache(hand);
  for (const grip::HandTask& task : tasks) (void)cache.find(*task.site, task.grip, task.forearm_swing);
  print("capacity cache, hit",
        measure_figure(tasks.size(),
                       [&](std::size_t i) { (void)cache.find(*tasks[i].site, tasks[i].grip, tasks[i].forearm_swing); }),
        0.0, fmt::format("{} sets", cache.size()));
  constexpr std::size_t kHands = 10;
  print("hand from a measured force",
        measure_figure(kHands,
                       [&](std::size_t i) {
                         grip::FingerStrength strength;
                         strength.edge_force_N = 250.0 + 50.0 * static_cast<double>(i);
                         (void)grip::make_hand({}, strength);
                       }),
        0.0);
  fmt::print("allocations of {} hand fans: {} (allowed: 0)\n", tasks.size(), allocations);
}

/// Every set a single time, for a count of instructions: "valgrind --tool=callgrind grip_bench once".
void run_once() {
  const grip::Hand hand = make_sweep_hand();
  grip::FingerSearch search;
  for (const hold::Site& site : draw_sites()) {
    for (const Grip grip : kSweptGrips) {
      (void)grip::make_hand_capacity({&site, grip, &hand, rad_from_deg(30.0)}, search);
    }
  }
}

}  // namespace

int main(int n_arguments, char** arguments) {
  if (n_arguments > 1 && std::string(arguments[1]) == "once") {
    run_once();
    return 0;
  }
  fmt::print("{:<50}{:>13}{:>13}{:>12}\n", "", "median", "p95", "target");
  bench_programs();
  fmt::print("\n");
  bench_hands();
  return 0;
}
