// Kinematics of tree T beside Simbody in one program: positions and centre of mass; with its Jacobian; with the four
// contact Jacobians. 2,000 random postures, hinges uniform within their limits. Ends with a table of ratios.

#include "engine/body/body.h"
#include "engine/body/kinematics.h"
#include "engine/core/constants.h"
#include "engine/core/random.h"
#include "tests/support/malloc_guard.h"
#include "tests/support/reference_tree.h"
#ifdef STEEPWRIGHT_HAS_SIMBODY
#include "tests/peers/simbody/plain_tree.h"
#endif

#include <benchmark/benchmark.h>

#include <cstdio>
#include <map>

namespace steepwright::bench {
namespace {

constexpr int kPostureCount = 2000;
constexpr int kContactCount = 4;
constexpr int kRepetitions = 5;

// What one call computes; each contains the one before.
enum class Extent { kPositions, kComJacobian, kContactJacobians };

std::vector<body::Posture> draw_postures(const body::Tree& tree) {
  RandomStream random(1);
  std::vector<body::Posture> postures(kPostureCount);
  for (body::Posture& posture : postures) {
    posture.p_WB = Vec3(random.symmetric(0.5), random.symmetric(0.5), 1.0 + random.symmetric(0.5));
    posture.R_WB = rotation_by(Vec3(random.symmetric(1.0), random.symmetric(1.0), random.symmetric(1.0)));
    posture.angles.resize(tree.n_hinges());
    for (int i = 0; i < tree.n_hinges(); ++i) {
      const body::Hinge& hinge = tree.hinges[static_cast<std::size_t>(i)];
      posture.angles[i] = random.uniform(hinge.lower, hinge.upper);
    }
  }
  return postures;
}

using Contact = tests::ReferenceContact;

struct Case {
  body::Tree tree;
  std::vector<body::Posture> postures;
  std::array<Contact, kContactCount> contacts;
};

Case make_reference_case() {
  Case result;
  result.tree = tests::make_reference_tree();
  result.postures = draw_postures(result.tree);
  result.contacts = tests::reference_contacts(result.tree);
  return result;
}

const Case& reference_case() {
  static const Case instance = make_reference_case();
  return instance;
}

void run_engine(benchmark::State& state, Extent extent) {
  const Case& c = reference_case();
  body::Kinematics kinematics;
  body::Jacobian3 J_com;
  std::array<body::Jacobian3, kContactCount> J_contacts;
  std::size_t i = 0;
  const std::size_t before = tests::allocation_count();
  std::size_t calls = 0;
  for (auto _ : state) {
    update_kinematics(c.tree, c.postures[i], kinematics);
    benchmark::DoNotOptimize(kinematics.p_Wcm.data());
    if (extent >= Extent::kComJacobian) {
      calc_com_jacobian(c.tree, kinematics, J_com);
      benchmark::DoNotOptimize(J_com.data());
    }
    if (extent >= Extent::kContactJacobians) {
      for (std::size_t k = 0; k < kContactCount; ++k) {
        const Contact& contact = c.contacts[k];
        calc_point_jacobian(c.tree, kinematics, contact.segment,
                            find_position(kinematics, contact.segment, contact.p_BC), J_contacts[k]);
        benchmark::DoNotOptimize(J_contacts[k].data());
      }
    }
    benchmark::ClobberMemory();
    i = i + 1 < c.postures.size() ? i + 1 : 0;
    ++calls;
  }
  // The timing loop itself may allocate once outside our calls; a path that allocates would count one a call.
  state.counters["allocations_per_call"] =
      static_cast<double>(tests::allocation_count() - before) / static_cast<double>(calls);
}

// The rest of what a stance asks of the body: torques and their gradient, on the full model.
void run_engine_torque_gradient(benchmark::State& state) {
  static const body::Body climber = body::make_body({});
  static const std::vector<body::Posture> postures = draw_postures(climber.tree);
  body::Kinematics kinematics;
  body::DofVector torques;
  body::DofVector gradient;
  const body::DofVector y = body::DofVector::Ones(climber.tree.n_dof());
  std::size_t i = 0;
  for (auto _ : state) {
    update_kinematics(climber.tree, postures[i], kinematics);
    std::array<body::AppliedForce, kContactCount> forces;
    for (std::size_t k = 0; k < kContactCount; ++k) {
      const body::Station& station = climber.station(kLimbs[k], Grip::kHalfCrimp);
      forces[k] = {station.segment, find_position(kinematics, station.segment, station.p_BC), Vec3(50, -80, 170)};
    }
    calc_holding_torques(climber.tree, kinematics, forces.data(), kContactCount, torques);
    calc_torque_gradient(climber.tree, kinematics, y, forces.data(), kContactCount, gradient);
    benchmark::DoNotOptimize(torques.data());
    benchmark::DoNotOptimize(gradient.data());
    i = i + 1 < postures.size() ? i + 1 : 0;
  }
}

#ifdef STEEPWRIGHT_HAS_SIMBODY
peers::SimbodyModel& reference_simbody() {
  static peers::SimbodyModel model(peers::make_plain_segments(reference_case().tree), kGravity);
  static const bool filled = [] {
    for (const body::Posture& posture : reference_case().postures) add_posture(model, posture);
    std::vector<int> segments;
    std::vector<std::array<double, 3>> stations;
    for (const Contact& contact : reference_case().contacts) {
      segments.push_back(contact.segment);
      stations.push_back(peers::to_plain(contact.p_BC));
    }
    model.set_stations(segments, stations);
    return true;
  }();
  static_cast<void>(filled);
  return model;
}

void run_simbody(benchmark::State& state, Extent extent) {
  peers::SimbodyModel& model = reference_simbody();
  int i = 0;
  for (auto _ : state) {
    model.set_posture(i);
    auto com = model.find_com();
    benchmark::DoNotOptimize(com);
    if (extent >= Extent::kComJacobian) model.calc_com_jacobian();
    if (extent >= Extent::kContactJacobians) model.calc_station_jacobians();
    benchmark::ClobberMemory();
    i = i + 1 < kPostureCount ? i + 1 : 0;
  }
}

// Largest difference between the two models over the first postures, m: what is timed must be the same thing.
double find_worst_difference() {
  const Case& c = reference_case();
  peers::SimbodyModel& model = reference_simbody();
  body::Kinematics kinematics;
  body::Jacobian3 J;
  double worst = 0.0;
  for (int i = 0; i < 100; ++i) {
    update_kinematics(c.tree, c.postures[static_cast<std::size_t>(i)], kinematics);
    model.set_posture(i);
    model.calc_com_jacobian();
    model.calc_station_jacobians();
    worst = std::max(worst, (kinematics.p_Wcm - peers::from_plain(model.find_com())).cwiseAbs().maxCoeff());
    const auto compare = [&](auto entry) {
      for (int row = 0; row < 3; ++row) {
        for (int column = 0; column < c.tree.n_dof(); ++column) {
          worst = std::max(worst, std::abs(J(row, column) - entry(row, column)));
        }
      }
    };
    calc_com_jacobian(c.tree, kinematics, J);
    compare([&](int row, int column) { return model.com_jacobian(row, column); });
    for (int k = 0; k < kContactCount; ++k) {
      const Contact& contact = c.contacts[static_cast<std::size_t>(k)];
      calc_point_jacobian(c.tree, kinematics, contact.segment, find_position(kinematics, contact.segment, contact.p_BC),
                          J);
      compare([&](int row, int column) { return model.station_jacobian(k, row, column); });
    }
  }
  return worst;
}
#endif

// Keeps the medians for the table.
class MedianReporter : public benchmark::ConsoleReporter {
 public:
  void ReportRuns(const std::vector<Run>& runs) override {
    ConsoleReporter::ReportRuns(runs);
    for (const Run& run : runs) {
      if (run.aggregate_name != "median") continue;
      medians_us[run.run_name.function_name] = 1e6 * run.cpu_accumulated_time / static_cast<double>(run.iterations);
      if (const auto found = run.counters.find("allocations_per_call"); found != run.counters.end()) {
        allocations[run.run_name.function_name] = found->second;
      }
    }
  }
  std::map<std::string, double> medians_us;
  std::map<std::string, double> allocations;
};

struct Row {
  const char* title;
  const char* key;
  Extent extent;
};
constexpr Row kRows[] = {{"positions and centre of mass", "positions", Extent::kPositions},
                         {"+ centre-of-mass Jacobian", "com_jacobian", Extent::kComJacobian},
                         {"+ four contact Jacobians", "contact_jacobians", Extent::kContactJacobians}};

void print_table(const MedianReporter& reporter) {
  std::printf("\ntree T, 40 degrees of freedom, median us a call\n%-32s %9s %9s %7s %12s\n", "", "engine", "Simbody",
              "ratio", "allocations");
  for (const Row& row : kRows) {
    const auto engine = reporter.medians_us.find(std::string("engine/") + row.key);
    const auto peer = reporter.medians_us.find(std::string("simbody/") + row.key);
    if (engine == reporter.medians_us.end()) continue;
    std::printf("%-32s %9.2f ", row.title, engine->second);
    if (peer != reporter.medians_us.end()) {
      std::printf("%9.2f %6.1fx ", peer->second, peer->second / engine->second);
    } else {
      std::printf("%9s %7s ", "-", "-");
    }
    std::printf("%12.3g\n", reporter.allocations.at(engine->first));
  }
}

}  // namespace
}  // namespace steepwright::bench

int main(int argc, char** argv) {
  using namespace steepwright::bench;
  benchmark::Initialize(&argc, argv);
  const auto finish = [](benchmark::internal::Benchmark* b) {
    b->Unit(benchmark::kMicrosecond)
        ->Repetitions(kRepetitions)
        ->ReportAggregatesOnly(true)
        ->MinTime(0.1)
        ->MinWarmUpTime(0.1);
  };
  for (const Row& row : kRows) {
    finish(benchmark::RegisterBenchmark((std::string("engine/") + row.key).c_str(), run_engine, row.extent));
#ifdef STEEPWRIGHT_HAS_SIMBODY
    finish(benchmark::RegisterBenchmark((std::string("simbody/") + row.key).c_str(), run_simbody, row.extent));
#endif
  }
  finish(benchmark::RegisterBenchmark("engine/torques_and_gradient_44", run_engine_torque_gradient));
  MedianReporter reporter;
  benchmark::RunSpecifiedBenchmarks(&reporter);
  print_table(reporter);
#ifdef STEEPWRIGHT_HAS_SIMBODY
  std::printf("largest difference between the two over 100 postures: %.1e m\n", find_worst_difference());
#endif
  return 0;
}
