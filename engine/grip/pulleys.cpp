#include "engine/grip/pulleys.h"

#include <algorithm>
#include <cmath>

namespace steepwright::grip {

namespace {

double find_edge_force(double tension_N, double turn) { return 2.0 * tension_N * std::sin(0.5 * turn); }

}  // namespace

PulleyLoads find_pulley_loads(const FingerPosture& posture, const FingerLoad& load) {
  const double pip = std::max(0.0, posture.pip);
  const double dip = std::max(0.0, posture.dip);
  const double both_N = load.deep_N + load.superficial_N;
  PulleyLoads loads;
  loads.a2 = {find_edge_force(both_N, 0.25 * pip), find_edge_force(both_N, 0.5 * pip)};
  loads.a4 = {find_edge_force(load.deep_N, 0.25 * pip + 0.5 * dip), find_edge_force(load.deep_N, 0.5 * (pip + dip))};
  return loads;
}

}  // namespace steepwright::grip
