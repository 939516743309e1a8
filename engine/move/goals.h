#pragma once

/// From "left hand, half crimp, on that site" to what the posture search must meet.

#include "engine/move/scene.h"
#include "engine/posture/stance_problem.h"

#include <array>
#include <optional>

namespace steepwright::move {

/// Who holds what once a move is done as it is meant.
[[nodiscard]] Stance find_settled(const Move& move);

/// The same limb of the other side.
[[nodiscard]] Limb find_other_side(Limb limb);

/// The strip that a place is on.
[[nodiscard]] const wall::Strip& find_strip(const Scene& scene, const LimbPlace& place);

/// Fills PlacedHold::X_WH of every hold from strip, position and rotation.
void place_holds(Scene& scene);

/// The site that a place names; for a smear a patch of panel or kicker (z out of it, y up-slope).
[[nodiscard]] hold::Site find_site(const Scene& scene, const LimbPlace& place);
/// Pose of that site in W.
[[nodiscard]] Pose find_site_pose(const Scene& scene, const LimbPlace& place);

/// The climber's hand: its fingers from the body's hand length, its strength from the scene.
[[nodiscard]] grip::Hand make_climber_hand(const Climber& climber, const body::Body& body);

/// Swing of the left and right forearm at its site (grip::find_forearm_swing), rad; nothing where it is not known yet.
using ForearmSwings = std::array<std::optional<double>, 2>;

/// Contact point, turning range, capacity and force points of one limb at its place. A hand's set is that of the given
/// swing; without one, of a forearm that hangs plumb below the hold.
[[nodiscard]] posture::LimbGoal make_limb_goal(const Scene& scene, const body::Body& body, Limb limb,
                                               const LimbPlace& place, grip::CapacityCache& hands,
                                               std::optional<double> forearm_swing = std::nullopt);

/// The stance as a posture problem: all limbs that hold something, loaded.
[[nodiscard]] posture::StanceProblem make_stance_problem(const Scene& scene, const body::Body& body,
                                                         const Stance& stance, grip::CapacityCache& hands,
                                                         const ForearmSwings& swings = {});

/// From elbow to wrist, unit.
[[nodiscard]] Vec3 find_forearm(const body::Body& body, Limb hand, const body::Kinematics& kinematics);

/// Swings of the hands' forearms in a posture.
[[nodiscard]] ForearmSwings find_forearm_swings(const Scene& scene, const body::Body& body, const Stance& stance,
                                                const body::Kinematics& kinematics);

}  // namespace steepwright::move
