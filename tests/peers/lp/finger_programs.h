#pragma once

/// The forces of a finger as linear programs for outside solvers.

#include "engine/grip/load_program.h"
#include "tests/grip/finger_cases.h"
#include "tests/peers/lp/linear_programs.h"

namespace steepwright::tests {

/// The program as the engine built it, gains as costs with their sign turned: minimise -value. Slack columns left out,
/// groups of one column as well as of two by a row.
[[nodiscard]] LinearProgram copy_program(const grip::LoadProgram& program);

/// Written anew from the seating: free bodies. Unknowns are the pads' normal and tangential forces, the forces that the
/// bones pass on through the joints, the joints' torques and the tendons'; each bone is in balance by itself. N and Nm.
/// The small muscles' torques are the engine's, whose assumption their strength is. The objective is -s with
/// s * pull_direction the force on the finger.
struct SmallMuscles {
  double dip_open_Nm = 0.0, pip_open_Nm = 0.0;   ///< extensor slips
  double mcp_close_Nm = 0.0, mcp_open_Nm = 0.0;  ///< small flexors, extensor
};
[[nodiscard]] SmallMuscles find_small_muscles(const FingerCase& drawn);
[[nodiscard]] LinearProgram make_free_body_program(const FingerCase& drawn);

}  // namespace steepwright::tests
