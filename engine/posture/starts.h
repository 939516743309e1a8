#pragma once

/// Starting postures for a stance: a few deliberate ones (square to the wall, turned to either side, knees out or in
/// front, near the wall or far from it), then seeded random ones.

#include "engine/body/body.h"
#include "engine/core/random.h"
#include "engine/posture/stance_problem.h"

#include <array>

namespace steepwright::posture {

/// Indices of the hinges that a start sets; -1 where the tree lacks one.
struct StartHinges {
  struct Side {
    int shoulder_flexion, shoulder_abduction, shoulder_rotation, elbow, pronation;
    int hip_flexion, hip_abduction, hip_rotation, knee;
  };
  std::array<Side, 2> sides;  ///< left, right
};
[[nodiscard]] StartHinges make_start_hinges(const body::Body& body);

inline constexpr int kDeliberateStarts = 8;

/// The i-th start of a stance; from kDeliberateStarts on the draws of `random` vary a deliberate one.
[[nodiscard]] body::Posture find_start(const StanceProblem& problem, const StartHinges& hinges, int i,
                                       RandomStream& random);

/// Angles that a search is drawn to where the load does not care: half-bent limbs, n_hinges.
[[nodiscard]] body::DofVector find_rest_angles(const body::Body& body, const StartHinges& hinges);

}  // namespace steepwright::posture
