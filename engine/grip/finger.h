#pragma once

/// The fingers of one hand: bones, pads, tendons; and the joint angles that a grip means.
///
/// Plane of a finger: y into the wall along the floor, z the floor's normal (those of S). The direction of a phalanx is
/// its angle from y towards z, from the knuckle's end to the tip's; flexion turns the next phalanx palmward, that is
/// downward: pitch_next = pitch - flexion. The palm looks along (sin pitch, -cos pitch).

#include "engine/core/limb.h"

#include <Eigen/Core>

#include <array>
#include <cstddef>
#include <string_view>

namespace steepwright::grip {

using Vec2 = Eigen::Vector2d;
[[nodiscard]] inline double cross(const Vec2& a, const Vec2& b) { return a.x() * b.y() - a.y() * b.x(); }

enum class Digit { kIndex, kMiddle, kRing, kLittle };
inline constexpr std::array<Digit, 4> kDigits = {Digit::kIndex, Digit::kMiddle, Digit::kRing, Digit::kLittle};
[[nodiscard]] std::string_view name_of(Digit digit);
[[nodiscard]] constexpr std::size_t index_of(Digit digit) { return static_cast<std::size_t>(digit); }

/// What is known of a hand; lengths in m, 0 where not measured.
struct HandMeasures {
  double hand_length_m = 0.187;   ///< wrist crease to tip of the middle finger
  double middle_finger_m = 0.0;   ///< knuckle crease to tip, palm side, of the middle finger
  double finger_breadth_m = 0.0;  ///< of the middle finger at its end joint
};

/// One finger. Joints are numbered from the tip: DIP, PIP, MCP.
struct Finger {
  double distal_m = 0.0;    ///< DIP axis to tip, pulp included
  double middle_m = 0.0;    ///< PIP axis to DIP axis
  double proximal_m = 0.0;  ///< MCP axis to PIP axis
  double pad_m = 0.0;       ///< bone axis to skin on the palm side, at the end joint
  double breadth_m = 0.0;   ///< at the end joint
  double scale = 1.0;       ///< size against the hand of the published moment arms

  // Shares of the strength of one hand (Brand's tension fractions, see finger.cpp).
  double deep_share = 0.0;         ///< flexor digitorum profundus
  double superficial_share = 0.0;  ///< flexor digitorum superficialis
};

/// Back of a finger from the bone's axis, share of the pad's thickness (assumed).
inline constexpr double kBackOfPad = 0.8;

[[nodiscard]] std::array<Finger, 4> make_fingers(const HandMeasures& measures);

/// Flexion of the three joints, rad; negative: past straight.
struct Flexion {
  double dip = 0.0, pip = 0.0, mcp = 0.0;
};

/// Moment arms of the flexor tendons, m.
struct MomentArms {
  double deep_dip = 0.0, deep_pip = 0.0, deep_mcp = 0.0;
  double superficial_pip = 0.0, superficial_mcp = 0.0;
};
[[nodiscard]] MomentArms find_moment_arms(const Finger& finger, const Flexion& flexion);
/// Their growth, m/rad, each with its own joint.
[[nodiscard]] MomentArms find_moment_arm_growth(const Finger& finger, const Flexion& flexion);

/// Ligaments of the end joint carry up to this share of what the deep tendon carries there, once it is bent back: one
/// quarter of the outside moment in a crimp (Vigouroux et al. 2006, read), that is a third of the tendon's. Rises from
/// 0 at straight to full at 10 degrees past straight (assumed).
[[nodiscard]] double find_passive_dip_share(double dip);
[[nodiscard]] double find_passive_dip_share_growth(double dip);  ///< per rad

/// A range of angles, rad.
struct AngleRange {
  double lower = 0.0, upper = 0.0;
  [[nodiscard]] double at(double share) const { return lower + share * (upper - lower); }
};

/// What a grip means for a finger.
struct GripForm {
  AngleRange pip, dip, mcp;
  AngleRange pitch;  ///< of the distal phalanx against the floor
  /// The deep flexor bends both joints: the end joint of an extended finger follows the middle one, within these shares
  /// of it (unloaded 0.5 to 0.8, about 2/3: read in secondary sources) and 15 degrees more. 0: free, a bent finger's
  /// end joint is set by the hold.
  double dip_of_pip_lower = 0.0, dip_of_pip_upper = 0.0;
  /// A crimp stands on the finger ends; once the middle bone bears too, the trade calls the hand open, or a jug.
  bool bears_on_middle = true;
  bool has_thumb_lock = false;   ///< the thumb presses on the index finger's end
  bool lays_palm = false;        ///< the base of the fingers rests on the hold
  bool wraps_proximal = false;   ///< the proximal phalanx lies on the hold
  bool has_table = false;        ///< its postures on plain edges were found beforehand (posture_table.h)
  std::array<bool, 4> digits{};  ///< which fingers hold; for two fingers the choice is the stronger pair
};
[[nodiscard]] const GripForm& find_grip_form(Grip grip);

/// Range of the end joint for a flexion of the middle joint, rad.
[[nodiscard]] AngleRange find_dip_range(const GripForm& form, double pip);

/// Range of the middle joint for a flexion of the end joint, rad.
[[nodiscard]] AngleRange find_pip_range(const GripForm& form, double dip);

}  // namespace steepwright::grip
