#pragma once

/// What one hand holds at one site with each grip, over all pulls: what tables, records and pictures of a hold show.

#include "engine/grip/judge.h"

#include <optional>
#include <vector>

namespace steepwright::grip {

/// Pulls that every grip is shown for, degrees outward from the floor's normal.
inline constexpr std::array<int, 5> kSurveyPulls_deg = {0, 10, 20, 30, 40};

/// Pulls in the plane of the outline whose directions a set allows, rad; angles as in finger_search.h.
[[nodiscard]] AngleRange find_held_pulls(const CapacitySet& set);

/// Most force along a pull, N; nothing where the directions of the set leave it out, however small the force.
[[nodiscard]] std::optional<double> find_held_force(const CapacitySet& set, double angle);

/// Inner loads of the fingers at their most force along one pull.
struct FingersAlong {
  double pull = 0.0;  ///< rad
  HandAlong hand;
};

/// One grip that the site allows.
struct SurveyedGrip {
  Grip grip = Grip::kOpenHand;
  CapacitySet set;  ///< in S
  double outward_N = 0.0;
  std::optional<double> lead;         ///< over the next weaker grip under the outward pull; 0.31: holds 31 % more
  std::vector<FingersAlong> fingers;  ///< filled by add_fingers
};

struct Survey {
  hold::Site site;
  double forearm_swing = 0.0;  ///< rad, the middle of the bin that the sets were computed for
  hold::SurfaceFriction friction;
  double lean = 0.0;  ///< of the surface under the fingertips, rad
  GripJudgement judgement;
  std::vector<SurveyedGrip> grips;  ///< those that are possible, most force under the outward pull first
};

/// Milliseconds a grip.
[[nodiscard]] Survey calc_survey(const hold::Site& site, double forearm_swing, CapacityCache& hands);

/// Adds the inner loads at one pull. Nothing is added where the set does not hold the pull, nor to a pinch: its
/// fingers press against the thumb, so that their own most force is not what they carry.
void add_fingers(const Survey& survey, const Hand& hand, double pull, FingerSearch& search, SurveyedGrip& grip);

/// Bent fingers, for which the caution about single fingers (kCautionForce_N) stands.
[[nodiscard]] bool is_crimp(Grip grip);

}  // namespace steepwright::grip
