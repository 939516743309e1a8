#pragma once

/// From a solved stance to a frame of the result: forces, margins and torques with their names, and what decides.

#include "engine/move/result.h"
#include "engine/move/scene.h"
#include "engine/posture/stance.h"

namespace steepwright::move {

/// Where each limb of the problem is, in the problem's order, for names.
struct ProblemPlaces {
  BoundedVector<LimbPlace, 4> places;
};

[[nodiscard]] ProblemPlaces find_places(const Stance& stance);

/// The frame of an answered stance. Cause and limit are those of slip, grip and strength; reach and clearance are told
/// apart by the caller, who re-solves for them.
[[nodiscard]] Frame make_frame(const Scene& scene, const posture::StanceProblem& problem, const ProblemPlaces& places,
                               const posture::StanceAnswer& answer, posture::StanceWorkspace& workspace, Phase phase);

}  // namespace steepwright::move
