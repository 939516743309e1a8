#pragma once

/// From "left hand, half crimp, on that site" to what the posture search must meet.

#include "engine/move/scene.h"
#include "engine/posture/stance_problem.h"

namespace steepwright::move {

/// Fills PlacedHold::X_WH of every hold from strip, position and rotation.
void place_holds(Scene& scene);

/// The site that a place names; for a smear a patch of panel or kicker (z out of it, y up-slope).
[[nodiscard]] hold::Site find_site(const Scene& scene, const LimbPlace& place);
/// Pose of that site in W.
[[nodiscard]] Pose find_site_pose(const Scene& scene, const LimbPlace& place);

/// Contact point, turning range, capacity and force points of one limb at its place.
[[nodiscard]] posture::LimbGoal make_limb_goal(const Scene& scene, const body::Body& body, Limb limb,
                                               const LimbPlace& place);

/// The stance as a posture problem: all limbs that hold something, loaded.
[[nodiscard]] posture::StanceProblem make_stance_problem(const Scene& scene, const body::Body& body,
                                                         const Stance& stance);

}  // namespace steepwright::move
