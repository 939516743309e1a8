#pragma once

/// The postures that a grip allows a finger at a site, as a box to search in, and where to start. Part of the finger
/// search.

#include "engine/core/bounded_vector.h"
#include "engine/grip/seating.h"

namespace steepwright::grip {

/// Moves of the pattern search: each joint alone; pitch against the end joint (the middle bone keeps its direction) and
/// pitch against the middle joint (the proximal bone keeps its): without these two the search cannot follow the narrow
/// ridge on which two bones lie flat at once.
enum class PostureMove { kPitch, kWithdrawal, kMiddleJoint, kEndJoint, kPitchAndEndJoint, kPitchAndMiddleJoint };
inline constexpr std::array<PostureMove, 6> kPostureMoves = {
    PostureMove::kPitch,       PostureMove::kEndJoint,         PostureMove::kWithdrawal,
    PostureMove::kMiddleJoint, PostureMove::kPitchAndEndJoint, PostureMove::kPitchAndMiddleJoint};

class PostureSpace {
 public:
  PostureSpace(const Finger& finger, const hold::Outline& outline, const GripForm& form);

  /// The posture moved by `size` (1: 60 degrees, or 15 mm), brought back into the grip's ranges.
  [[nodiscard]] FingerPosture moved(const FingerPosture& posture, PostureMove move, double size) const;

  /// Postures to start from. The tip goes to the back face, or the lip lies under the end joint, behind its crease,
  /// under the middle of the middle bone, or under the middle joint: what a finger does on a shorter edge it can do on
  /// a longer one.
  [[nodiscard]] std::size_t n_starts() const;
  [[nodiscard]] FingerPosture start(std::size_t i) const;

 private:
  [[nodiscard]] FingerPosture bring_back(FingerPosture posture) const;

  const GripForm& form_;
  double most_withdrawal_m_;
  BoundedVector<double, 5> withdrawals_;
};

}  // namespace steepwright::grip
