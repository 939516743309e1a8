#pragma once

/// The postures that a grip allows a finger at a site, as a space to search in, and where to start. Part of the finger
/// search.

#include "engine/core/bounded_vector.h"
#include "engine/grip/flush.h"

#include <Eigen/Core>

#include <array>
#include <span>

namespace steepwright::grip {

/// A point of the space: directions of distal and middle bone against the floor, flexion of the middle joint, rad;
/// withdrawal of the tip in units of kWithdrawalUnit_m. Where the grip wraps the finger round the hold, each bone's
/// angle counts from where it lies flush with those before it: good postures stay near that, wherever it is. Any point
/// means a posture: what lies outside the grip's ranges is brought back into them.
using PosturePoint = Eigen::Vector4d;
inline constexpr double kWithdrawalUnit_m = 0.015;

/// A posture in words that hold for another finger too: where the lip lies along the finger instead of the withdrawal.
struct PostureLead {
  double pitch = 0.0, middle_pitch = 0.0, flexion = 0.0;  ///< rad, as in a point
  double lip_place = 0.0;   ///< in bones from the tip: 1 at the end joint, 2 at the middle joint
  bool is_at_back = false;  ///< the tip touches the back face
  double gap_m = 0.0;       ///< between distal and middle bone, see FlushGap
};

/// Whether a coordinate is at an end of its range, and how that end moves with another coordinate.
struct RangeEnd {
  int side = 0;            ///< -1 lower, 1 upper, 0 inside
  bool is_beyond = false;  ///< it was brought back
  double rate = 0.0;
  [[nodiscard]] bool holds(double slope) const { return is_beyond || side * slope > 0.0; }
};

class PostureSpace {
 public:
  PostureSpace(const Finger& finger, const hold::Outline& outline, const GripForm& form);

  [[nodiscard]] FingerPosture at(const PosturePoint& point) const;
  /// Where a point met the ranges, in the order in which they are met.
  struct Bounds {
    RangeEnd withdrawal, pitch, dip, pip, pip_of_dip, dip_of_pip;
  };
  [[nodiscard]] FingerPosture at(const PosturePoint& point, Bounds& bounds) const;
  /// Slope over a point's coordinates of what has a slope over the posture's (pitch, flexion of end and middle joint,
  /// withdrawal in m). What is at the end of a range and is pulled outward stays.
  [[nodiscard]] static PosturePoint find_slope(const Eigen::Vector4d& by_posture, const Bounds& bounds);
  /// Steps of the coordinates that change a finger about alike.
  [[nodiscard]] PosturePoint steps() const;

  /// Points to start from. On the ridge: bones flush with the tip at the back face, or with the lip under the end joint
  /// or places of the middle bone. Off it: on the end of the finger alone. A bent finger's: on its end.
  static constexpr std::size_t kMaxStarts = 448;
  using Starts = BoundedVector<PosturePoint, kMaxStarts>;
  void find_starts(Starts& starts) const;
  /// Those on the end of the finger with the tip at the back face.
  void find_end_starts(Starts& starts) const;

  /// Both nearer to each other than the first simplex is wide.
  [[nodiscard]] bool is_near(const PosturePoint& a, const PosturePoint& b) const;

  [[nodiscard]] PostureLead find_lead(const PosturePoint& point) const;
  [[nodiscard]] PosturePoint find_point(const PostureLead& lead) const;
  [[nodiscard]] PosturePoint find_point(const FingerPosture& posture) const;

 private:
  /// A point whose angles count from where each bone lies flush, of a wrapped finger.
  [[nodiscard]] PosturePoint find_raw(const PosturePoint& from_flush) const;
  /// Pitch of the middle bone from which a point's counts, rad.
  [[nodiscard]] double find_first_middle_pitch(double pitch, double withdrawal_m) const;
  /// Flexion of the middle joint from which a point's counts, rad.
  [[nodiscard]] double find_first_flexion(const BoneLine& line) const;
  /// The i-th flexion to start from.
  [[nodiscard]] double find_flexion(std::size_t i, std::span<const double> shares) const;
  void add_flush_starts(double withdrawal_m, Starts& starts) const;
  void add_end_starts(double withdrawal_m, Starts& starts) const;
  void add_start(double pitch_deg, double middle_deg, double withdrawal_m, Starts& starts) const;
  [[nodiscard]] double find_lip_place(double withdrawal_m) const;
  [[nodiscard]] double find_withdrawal(double lip_place) const;

  const Finger& finger_;
  const hold::Outline& outline_;
  const GripForm& form_;
  double most_withdrawal_m_;
  bool starts_before_back_ = false;  ///< the tip finds no floor at the back face, and room before it
  BoundedVector<double, 9> withdrawals_m_;
  mutable FlushGap flush_;  // scratch
};

}  // namespace steepwright::grip
