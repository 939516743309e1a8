// How near a limb comes, and what is in the way: asked where no posture meets a stance.

#include "engine/posture/stance.h"
#include "engine/posture/tolerances.h"

#include <cmath>
#include <limits>

namespace steepwright::posture {

NearestReach solve_nearest_reach(const StanceProblem& problem, int limb, const StanceParams& params,
                                 const body::Posture* warm, StanceWorkspace& ws) {
  RowOptions rows = params.rows;
  rows.without_limb = limb;
  ReachObjective objective(limb);
  SearchParams search = search_params(params, rows);
  search.max_iterations = 150;
  search.relative_tolerance = 1e-5;
  search.patience = 4;
  search.first_turn = 0.2;
  const ContactParams contacts = start_contacts(params, rows);

  NearestReach nearest;
  nearest.distance_m = 1e30;
  RandomStream random(params.seed);
  for (int i = -1, met = 0; i < params.max_starts && met < 4; ++i) {
    if (i < 0 && warm == nullptr) continue;
    body::Posture posture = i < 0 ? *warm : find_start(problem, ws.hinges, i, random);
    if (solve_contacts(problem, contacts, posture, ws.search.posture).status != ContactStatus::kMet) continue;
    ++met;
    const SearchResult found = search_posture(problem, search, objective, posture, ws.search);
    const double distance = kReachUnit * problem.body->scale * std::sqrt(2.0 * found.value);
    if (distance < nearest.distance_m) {
      nearest = {true, posture, distance};
    }
  }
  return nearest;
}

Obstruction solve_least_obstruction(const StanceProblem& problem, const StanceParams& params,
                                    const body::Posture& start, StanceWorkspace& ws) {
  RowOptions rows = params.rows;
  rows.clearance = false;
  ObstructionObjective objective;
  SearchParams search = search_params(params, rows);
  search.max_iterations = 80;
  search.relative_tolerance = 1e-3;
  search.patience = 4;
  const ContactParams contacts = start_contacts(params, rows);
  Obstruction least;
  least.clearance_m = -std::numeric_limits<double>::infinity();
  Violation violation;
  RandomStream random(params.seed);
  for (int i = -1; i < kDeliberateStarts; ++i) {
    body::Posture posture = i < 0 ? start : find_start(problem, ws.hinges, i, random);
    if (solve_contacts(problem, contacts, posture, ws.search.posture).status != ContactStatus::kMet) continue;
    search_posture(problem, search, objective, posture, ws.search);
    body::update_kinematics(problem.body->tree, posture, ws.search.posture.kinematics);
    const Violation found = find_violation(problem, posture, ws.search.posture.kinematics, RowOptions{});
    if (found.clearance_m <= least.clearance_m) continue;
    least.posture = posture;
    least.clearance_m = found.clearance_m;
    violation = found;
  }
  if (violation.clearance_capsule >= 0) {
    least.capsule = problem.body->capsules[static_cast<std::size_t>(violation.clearance_capsule)].name;
    least.obstacle = wall::find_nearest(*problem.wall, violation.clearance_p_WQ);
  }
  return least;
}

}  // namespace steepwright::posture
