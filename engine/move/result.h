#pragma once

/// What the engine says about a move: phases as data, verdict, cause and amount. The record and the figure read this.

#include "engine/body/body.h"
#include "engine/core/capacity_set.h"
#include "engine/core/limb.h"
#include "engine/core/slip_off.h"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace steepwright::move {

/// In the order of time. Single instants: before, unloaded (limb still in place, carrying nothing), touch (at the
/// target, carrying nothing), settled. Between them: unload, travel, load, settle.
enum class Phase { kBefore, kUnload, kUnloaded, kTravel, kTouch, kLoad, kSettle, kSettled };
[[nodiscard]] std::string_view name_of(Phase phase);

enum class Verdict { kStatic, kNotStatic };  // `momentum` to come
[[nodiscard]] std::string_view name_of(Verdict verdict);

enum class Cause {
  kNone,       ///< holds
  kReach,      ///< the contacts cannot be met
  kClearance,  ///< they can, but only with a part of the body inside the wall or room
  kSlip,       ///< no forces inside the friction cones balance the weight
  kGrip,       ///< a hand's capacity is exceeded
  kStrength,   ///< a joint's torque limit is exceeded
};
[[nodiscard]] std::string_view name_of(Cause cause);
/// Where they cannot be met there is no effort to speak of.
[[nodiscard]] constexpr bool are_contacts_met(Cause cause) {
  return cause != Cause::kReach && cause != Cause::kClearance;
}

/// One contact of one frame. Forces are of the hold ON the body, W.
struct ContactResult {
  Limb limb = Limb::kLeftHand;
  std::string hold;  ///< "" for a smear
  std::string site;
  std::optional<Grip> grip;
  bool is_loaded = true;
  Vec3 p_WC = Vec3::Zero();
  CapacitySet capacity;  ///< W
  struct Point {
    Vec3 p_WC = Vec3::Zero();
    Vec3 f_C_W = Vec3::Zero();
  };
  std::vector<Point> points;
  Vec3 f_C_W = Vec3::Zero();  ///< sum over points
  double capacity_use = 0.0;
  double slip_margin = 0.0;    ///< of the surface alone, rad
  Vec3 lip_W = Vec3::UnitX();  ///< unit, along the lip
  SlipOff slip_off;            ///< of surface and strength, under this load
  double mu_used = 0.0;
  /// Share of its strength that the limb gives here: below 1 while it is unloaded or loaded up. `capacity` has it in.
  double load_share = 1.0;
  std::optional<double> forearm_swing;      ///< hands: grip::find_forearm_swing in this posture, rad
  std::optional<double> set_forearm_swing;  ///< hands: middle of the bin that the set was computed for, rad
  std::string set_name;  ///< hands: grip and forearm that the set is read from, "half crimp, forearm at 30°"
};

/// What the lower hand feels in one frame. Its pull is the force of the hand on the hold, opposite to f_C_W.
struct LowerHandState {
  double com_above_hold_m = 0.0;  ///< height of the centre of mass over the contact
  double force_N = 0.0;
  Vec3 pull_W = Vec3::Zero();  ///< unit; zero where the hand carries nothing
  double pull_swing = 0.0;     ///< rad, in the plane square to the panel: 0 down-slope along the panel, 90 deg straight
                               ///< out of it
  Vec3 forearm_W = Vec3::Zero();  ///< unit, from elbow to wrist
  double forearm_swing = 0.0;     ///< rad, grip::find_forearm_swing
  double capacity_use = 0.0;
  double slip_margin = 0.0;  ///< of the surface alone, rad
  SlipOff slip_off;
  std::string set_name;
};

struct JointTorque {
  std::string name;
  double torque_Nm = 0.0;
  double limit_Nm = 0.0;  ///< of the side that the torque is on, active + passive
};

/// One solved instant.
struct Frame {
  Phase phase = Phase::kBefore;
  double t = 0.0;            ///< 0..1 along the move
  bool has_posture = false;  ///< false: contacts not met; the posture is the nearest found
  bool is_held = false;
  body::Posture posture;
  Vec3 p_Wcm = Vec3::Zero();
  std::vector<ContactResult> contacts;
  std::vector<JointTorque> joint_torques;
  double effort = 0.0;            ///< rho
  double mu_needed_factor = 0.0;  ///< infinite: no factor on mu helps
  double residual_N = 0.0, residual_Nm = 0.0;
  double contact_error_m = 0.0;  ///< largest distance of a contact from its place
  double clearance_m = 0.0;      ///< smallest signed distance of the body from wall and room
  Cause cause = Cause::kNone;
  std::string limit;  ///< what is used most, in words: "left hand grip", "right elbow flexion", "left hand slips"
  std::optional<Limb> limit_limb;
  std::optional<double> limit_capacity_N;                 ///< grip: the bound that is used up
  std::optional<double> limit_mu_needed, limit_mu_given;  ///< slip
  std::optional<double> reach_short_m;                    ///< reach, clearance: how far limit_limb ends from its place
  std::optional<double> obstruction_m;                    ///< clearance: depth of the body inside the obstacle
  std::vector<Limb> cut_loose;               ///< feet that leave their holds at this frame because they cannot stay
  std::vector<Limb> hanging;                 ///< feet that hang free here since they cut loose
  std::optional<LowerHandState> lower_hand;  ///< of MoveResult::lower_hand while it is on its hold
  std::optional<Vec3> p_Wmoving;             ///< contact point of the moving limb, on its hold or in the air

  /// Of this limb; nullptr where it hangs free.
  [[nodiscard]] const ContactResult* find_contact(Limb limb) const {
    for (const ContactResult& contact : contacts) {
      if (contact.limb == limb) return &contact;
    }
    return nullptr;
  }
};

/// Peaks over all frames of a move that have a posture.
struct MovePeaks {
  struct OfLimb {
    double load_N = 0.0;
    int load_frame = -1;  ///< index into frames; -1: the limb never carries anything
    double capacity_use = 0.0;
    int capacity_frame = -1;
    double slip_margin = 0.0;  ///< of the surface alone, rad, smallest while the limb carries at least kCarries_N
    int slip_frame = -1;
    SlipOff slip_off;  ///< with the smallest margin, in the same frames
    int slip_off_frame = -1;
  };
  double effort = 0.0;
  int effort_frame = -1;
  std::array<OfLimb, 4> limbs;    ///< by index_of(Limb)
  std::optional<Limb> slip_limb;  ///< with the smallest slip margin of the surface alone
  std::optional<Limb> capacity_limb;
};

/// A limb with less than this on it has no direction worth a margin.
inline constexpr double kCarries_N = 5.0;

struct Shortfall {
  std::optional<double> reach_mm;      ///< the limb ends this far from the target
  std::optional<double> clearance_mm;  ///< depth of the body inside an obstacle at the best posture
  std::optional<double> mu_needed;     ///< at the limb that decides
  std::optional<double> mu_given;
  std::optional<double> effort;     ///< rho of the deciding frame
  std::optional<double> force_N;    ///< missing force at the deciding limb (grip)
  std::optional<double> torque_Nm;  ///< missing torque at the deciding joint (strength)
};

struct MoveResult {
  std::string name;
  Verdict verdict = Verdict::kNotStatic;
  Cause cause = Cause::kNone;
  std::string cause_text;  ///< "short by 34 mm: right hand to 'ledge'"
  Phase deciding_phase = Phase::kBefore;
  std::optional<Limb> deciding_limb;
  Shortfall shortfall;
  double effort_peak = 0.0;
  std::optional<Limb> lower_hand;  ///< the loaded hand below the moving one
  int deciding_frame = -1;         ///< index into frames
  MovePeaks peaks;
  std::vector<Frame> frames;  ///< in order of t; LowerHandState of each is the lower hand's history
};

}  // namespace steepwright::move
