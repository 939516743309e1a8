/// Posture of largest slip margin (P4): the engine's nested search against the simultaneous program in Ipopt. Both are
/// judged by the same exact cones at the posture that they return.

#include "tests/bench/posture_margin.h"

#include "engine/core/constants.h"
#include "engine/posture/search.h"
#include "tests/bench/peers_ipopt.h"
#include "tests/bench/posture_sets.h"
#include "tests/support/malloc_guard.h"
#include "tests/support/reference_tree.h"

#include <cmath>
#include <memory>

namespace steepwright::bench {

using body::Posture;
using posture::StanceProblem;

void make_force_problem(const StanceProblem& problem, const body::Kinematics& kinematics,
                        statics::StaticsProblem& statics) {
  statics.weight_N = problem.body->tree.mass_kg * kGravity;
  statics.p_Wcm = kinematics.p_Wcm;
  statics.contacts.clear();
  statics.points.clear();
  for (const posture::LimbGoal& goal : problem.limbs) {
    statics::Contact contact;
    contact.capacity = goal.capacity;
    contact.first_point = statics.n_points();
    contact.n_points = 1;
    statics.points.push_back(goal.p_WC);
    statics.contacts.push_back(contact);
  }
  statics.n_torque_rows = 0;
}

double MarginObjective::calc_value(const StanceProblem& problem, const Posture& posture,
                                   const body::Kinematics& kinematics, body::DofVector& gradient) {
  make_force_problem(problem, kinematics, statics_);
  const statics::Margin margin = statics::solve_margin(statics_, workspace_);
  ++n_solves;
  // The contacts stand still, so only the centre of mass c moves: sum (p - c) x f changes by -dc x sum f, and sum f is
  // the weight. In body weights both weights cancel.
  body::Jacobian3 J_cm;
  body::calc_com_jacobian(problem.body->tree, kinematics, J_cm);
  gradient = J_cm.transpose() * Vec3::UnitZ().cross(margin.moment_dual);
  const body::DofVector difference = posture.angles - rest;
  gradient.tail(difference.size()) += 2.0 * weight * difference;
  return weight * difference.squaredNorm() - margin.margin_N / statics_.weight_N;
}

namespace {

constexpr int kMarginCount = 200;
constexpr double kWeight = 0.005;

struct MarginSet {
  body::Body body;
  Posture start;
  std::vector<StanceProblem> problems;
};

/// The first problems of K4 with friction cones and caps: hands on edges tilted 25 degrees in, feet on edges that
/// face out by 30 degrees.
std::unique_ptr<MarginSet> make_margin_set() {
  const double theta = rad_from_deg(15.0);
  auto set = std::make_unique<MarginSet>();
  set->body = tests::make_reference_body();
  set->start = tests::make_reference_start(set->body.tree);
  const Vec3 up = tests::reference_wall_point(theta, 0.0, 1.0, 0.0);
  const Vec3 out = tests::reference_wall_point(theta, 0.0, 0.0, 1.0);
  RandomStream random(4);
  for (int i = 0; i < kMarginCount; ++i) {
    StanceProblem problem = tests::make_reference_problem(set->body, tests::draw_reference_targets(random, 0.15));
    for (posture::LimbGoal& goal : problem.limbs) {
      const double tilt = rad_from_deg(is_hand(goal.limb) ? -25.0 : 30.0);
      goal.capacity.normal = (std::cos(tilt) * up + std::sin(tilt) * out).normalized();
      goal.capacity.mu = is_hand(goal.limb) ? 0.6 : 0.7;
      goal.capacity.bounds = {{goal.capacity.normal, is_hand(goal.limb) ? 450.0 : 900.0}};
    }
    set->problems.push_back(problem);
  }
  return set;
}

/// Adds the objective at the returned postures, by exact cones, of those that meet the contacts.
void judge(const MarginSet& set, const std::vector<Posture>& postures, Outcome& outcome) {
  MarginObjective objective;
  objective.weight = kWeight;
  objective.rest = set.start.angles;
  body::Kinematics kinematics;
  body::DofVector unused;
  outcome.n_total = static_cast<int>(postures.size());
  for (std::size_t i = 0; i < postures.size(); ++i) {
    body::update_kinematics(set.body.tree, postures[i], kinematics);
    const posture::Violation violation =
        posture::find_violation(set.problems[i], postures[i], kinematics, posture::RowOptions{});
    outcome.n_solved += violation.contact_m < 1e-3 && violation.hinge < 1e-6 ? 1 : 0;
    const double F = -objective.calc_value(set.problems[i], postures[i], kinematics, unused);
    outcome.values.push_back(F);
    outcome.mean_value += F / static_cast<double>(postures.size());
  }
}

Outcome measure_engine(const MarginSet& set) {
  Outcome outcome;
  outcome.n_allocations = 0;
  auto ws = std::make_unique<posture::SearchWorkspace>();
  MarginObjective objective;
  objective.weight = kWeight;
  objective.rest = set.start.angles;
  posture::SearchParams params;
  params.max_iterations = 60;
  params.relative_tolerance = 1e-3;
  params.contacts.contact_tolerance = 1e-5;
  std::vector<Posture> postures(set.problems.size());
  const int repeats = 3;
  outcome.times_s = time_instances(
      kMarginCount, repeats, [&](int i) { postures[static_cast<std::size_t>(i)] = set.start; },
      [&](int i) {
        const auto k = static_cast<std::size_t>(i);
        const std::size_t before = tests::allocation_count();
        posture::solve_contacts(set.problems[k], params.contacts, postures[k], ws->posture);
        posture::search_posture(set.problems[k], params, objective, postures[k], *ws);
        outcome.n_allocations += static_cast<long>(tests::allocation_count() - before);
      });
  outcome.iterations = static_cast<double>(objective.n_solves) / (repeats * kMarginCount);
  judge(set, postures, outcome);
  return outcome;
}

Outcome measure_ipopt(const MarginSet& set) {
  Outcome outcome;
  IpoptMarginPeer peer(set.problems.front(), set.start.angles, kWeight);
  auto ws = std::make_unique<posture::PostureWorkspace>();
  std::vector<Posture> postures(set.problems.size());
  int iterations = 0;
  outcome.times_s = time_instances(
      kMarginCount, 1,
      [&](int i) {
        // Begins where inverse kinematics ends; that time is not counted.
        Posture start = set.start;
        posture::solve_contacts(set.problems[static_cast<std::size_t>(i)], posture::ContactParams{}, start, *ws);
        peer.set_problem(set.problems[static_cast<std::size_t>(i)], start);
      },
      [&](int i) {
        peer.solve();
        postures[static_cast<std::size_t>(i)] = peer.posture();
        iterations += peer.iterations();
      });
  outcome.iterations = static_cast<double>(iterations) / kMarginCount;
  judge(set, postures, outcome);
  return outcome;
}

}  // namespace

void add_margin_runs(std::vector<Run>& runs) {
  auto set = std::make_shared<std::unique_ptr<MarginSet>>();
  const auto get = [set]() -> const MarginSet& {
    if (!*set) *set = make_margin_set();
    return **set;
  };
  runs.push_back({"P4/engine", [get] { return measure_engine(get()); }});
  runs.push_back({"P4/ipopt", [get] { return measure_ipopt(get()); }});
}

}  // namespace steepwright::bench
