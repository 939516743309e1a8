/// Inverse kinematics: engine against Ceres on the same instances, with the same start and the same stop.

#include "engine/posture/contact_solver.h"
#include "tests/bench/peers_ceres.h"
#include "tests/bench/posture_sets.h"
#include "tests/support/malloc_guard.h"
#include "tests/support/reference_tree.h"

#include <cmath>
#include <memory>

namespace steepwright::bench {

namespace {

using body::Posture;
using posture::StanceProblem;

constexpr double kStop_m = 1e-4;    ///< both stop here
constexpr double kSolved_m = 1e-3;  ///< counted as solved

struct ContactSet {
  body::Body body;
  std::vector<StanceProblem> problems;
  std::vector<Posture> starts;
};

std::unique_ptr<ContactSet> make_cold_set(double range, std::uint64_t seed, int n) {
  auto set = std::make_unique<ContactSet>();
  set->body = tests::make_reference_body();
  RandomStream random(seed);
  for (int i = 0; i < n; ++i) {
    set->problems.push_back(tests::make_reference_problem(set->body, tests::draw_reference_targets(random, range)));
    set->starts.push_back(tests::make_reference_start(set->body.tree));
  }
  return set;
}

posture::ContactParams make_params() {
  posture::ContactParams params;
  params.contact_tolerance = kStop_m / std::sqrt(3.0);  // per coordinate: every contact within kStop_m
  return params;
}

/// Every contact 10 mm off in a random direction, from a posture that met it.
std::unique_ptr<ContactSet> make_tracking_set(std::uint64_t seed, int n) {
  std::unique_ptr<ContactSet> set = make_cold_set(0.15, seed, n);
  RandomStream random(seed + 1);
  auto ws = std::make_unique<posture::PostureWorkspace>();
  for (std::size_t i = 0; i < set->problems.size(); ++i) {
    posture::solve_contacts(set->problems[i], make_params(), set->starts[i], *ws);
    for (posture::LimbGoal& goal : set->problems[i].limbs) {
      const Vec3 direction = Vec3(random.normal(), random.normal(), random.normal()).normalized();
      goal.p_WC += 0.01 * direction;
    }
  }
  return set;
}

bool is_solved(const StanceProblem& problem, const Posture& posture) {
  body::Kinematics kinematics;
  body::update_kinematics(problem.body->tree, posture, kinematics);
  const posture::Violation violation = posture::find_violation(problem, posture, kinematics, posture::RowOptions{});
  return violation.contact_m < kSolved_m && violation.hinge < 1e-6;
}

Outcome measure_engine(const ContactSet& set) {
  Outcome outcome;
  outcome.n_total = static_cast<int>(set.problems.size());
  const posture::ContactParams params = make_params();
  auto ws = std::make_unique<posture::PostureWorkspace>();
  std::vector<Posture> postures = set.starts;
  std::vector<int> iterations(set.problems.size());
  outcome.n_allocations = 0;
  const auto at = [](int i) { return static_cast<std::size_t>(i); };
  outcome.times_s = time_instances(
      outcome.n_total, 5, [&](int i) { postures[at(i)] = set.starts[at(i)]; },
      [&](int i) {
        const std::size_t before = tests::allocation_count();
        iterations[at(i)] = posture::solve_contacts(set.problems[at(i)], params, postures[at(i)], *ws).iterations;
        outcome.n_allocations += static_cast<long>(tests::allocation_count() - before);
      });
  for (std::size_t i = 0; i < postures.size(); ++i) {
    outcome.n_solved += is_solved(set.problems[i], postures[i]) ? 1 : 0;
    outcome.iterations += static_cast<double>(iterations[i]) / static_cast<double>(postures.size());
  }
  return outcome;
}

Outcome measure_ceres(const ContactSet& set, CeresSolver solver) {
  Outcome outcome;
  outcome.n_total = static_cast<int>(set.problems.size());
  CeresContactPeer peer(set.problems.front(), kStop_m, solver);
  std::vector<Posture> postures(set.problems.size());
  const auto at = [](int i) { return static_cast<std::size_t>(i); };
  std::vector<int> iterations(set.problems.size());
  outcome.times_s = time_instances(
      outcome.n_total, 2,
      [&](int i) {
        peer.set_targets(set.problems[at(i)]);
        peer.set_start(set.starts[at(i)]);
      },
      [&](int i) {
        peer.solve();
        postures[at(i)] = peer.posture();
        iterations[at(i)] = peer.iterations();
      });
  for (std::size_t i = 0; i < postures.size(); ++i) {
    outcome.n_solved += is_solved(set.problems[i], postures[i]) ? 1 : 0;
    outcome.iterations += static_cast<double>(iterations[i]) / static_cast<double>(postures.size());
  }
  return outcome;
}

void add_set(const std::string& name, const std::function<std::unique_ptr<ContactSet>()>& make,
             std::vector<Run>& runs) {
  // Made at the first use, shared by the solvers of this set.
  auto set = std::make_shared<std::unique_ptr<ContactSet>>();
  const auto get = [set, make]() -> const ContactSet& {
    if (!*set) *set = make();
    return **set;
  };
  runs.push_back({name + "/engine", [get] { return measure_engine(get()); }});
  runs.push_back({name + "/ceres_qr", [get] { return measure_ceres(get(), CeresSolver::kQr); }});
  runs.push_back({name + "/ceres_cholesky", [get] { return measure_ceres(get(), CeresSolver::kNormalCholesky); }});
}

}  // namespace

void add_contact_runs(std::vector<Run>& runs) {
  add_set(
      "K4", [] { return make_cold_set(0.15, 4, 1000); }, runs);
  add_set(
      "K4H", [] { return make_cold_set(0.40, 5, 1000); }, runs);
  add_set(
      "K4track", [] { return make_tracking_set(4, 1000); }, runs);
}

}  // namespace steepwright::bench
