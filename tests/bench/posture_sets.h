#pragma once

/// The problem sets of posture_bench, and what runs them. Each adds its outcomes under "set/solver".

#include "tests/bench/posture_table.h"

#include <functional>
#include <string>
#include <vector>

namespace steepwright::bench {

/// A benchmark that can be picked by name.
struct Run {
  std::string name;  ///< "set/solver"
  std::function<Outcome()> measure;
};

/// Inverse kinematics of four contacts: cold near (K4), cold far (K4H), and tracking by 10 mm.
void add_contact_runs(std::vector<Run>& runs);
/// Posture of largest slip margin (P4).
void add_margin_runs(std::vector<Run>& runs);
/// The whole stance of the full body: posture, effort, friction, distribution.
void add_stance_runs(std::vector<Run>& runs);

}  // namespace steepwright::bench
