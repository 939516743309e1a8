#pragma once

/// The stance problems of a reach map: the limbs that stay, with their capacity sets by forearm, and the moving limb at
/// any place of a strip.

#include "engine/move/goals.h"
#include "engine/study/reach_map.h"

#include <map>
#include <mutex>

namespace steepwright::study {

/// Bins of the two forearms whose capacity sets are in use (move::ForearmSwings, in whole bins).
struct ForearmBins {
  std::array<std::optional<int>, 2> hands;
  bool operator==(const ForearmBins&) const = default;
};

/// Shared by threads: capacity sets are computed once, whoever asks first.
class ReachGoals {
 public:
  ReachGoals(const move::Scene& scene, const body::Body& body, const ReachQuestion& question);

  /// The limbs that stay, loaded; the moving one free.
  [[nodiscard]] posture::StanceProblem make_support(const ForearmBins& bins);
  /// With the moving limb at a place of a strip, not loaded.
  [[nodiscard]] posture::StanceProblem make_touch(const ForearmBins& bins, int strip, double across_m, double up_m);
  /// The same with the moving limb loaded: only with a hold.
  [[nodiscard]] posture::StanceProblem make_settled(const ForearmBins& bins, int strip, double across_m, double up_m);

  /// The bins of the supporting forearms in a posture; a forearm keeps its bin within three quarters of it, so that one
  /// on the border does not change its set back and forth.
  [[nodiscard]] ForearmBins find_bins(const body::Kinematics& kinematics, const ForearmBins& present) const;

  /// The limbs that stay, in the order in which their contacts are loaded.
  [[nodiscard]] const posture::StanceProblem& staying() const { return staying_; }
  [[nodiscard]] bool has_hold() const { return question_.hold.has_value(); }
  /// Where the moving limb's contact is for a place, W.
  [[nodiscard]] Vec3 find_contact(int strip, double across_m, double up_m) const;
  /// Can the bones between the moving limb and the ones that stay span this at all?
  [[nodiscard]] bool is_within_bones(const Vec3& p_WC) const;

 private:
  struct StripGoal {
    posture::LimbGoal goal;  ///< at the strip's corner
    move::LimbPlace place;   ///< in scene_
  };
  [[nodiscard]] StripGoal make_strip_goal(int strip);
  void move_goal(posture::LimbGoal& goal, int strip, double across_m, double up_m) const;
  [[nodiscard]] posture::LimbGoal find_support_goal(Limb limb, const ForearmBins& bins);

  move::Scene scene_;  ///< with the hold in question bolted to the corner of every strip
  const body::Body& body_;
  ReachQuestion question_;
  move::Stance support_;
  grip::CapacityCache hands_;
  std::vector<StripGoal> strips_;
  struct Bone {
    Vec3 p_WC;
    double most_m;
  };
  std::vector<Bone> bones_;
  posture::StanceProblem staying_;
  std::mutex mutex_;
  std::map<std::pair<std::size_t, int>, posture::LimbGoal> support_goals_;  ///< by limb and bin
};

}  // namespace steepwright::study
