#pragma once

/// What the engine says about a move: phases as data, verdict, cause and amount. The record and the figure read this.

#include "engine/body/body.h"
#include "engine/core/capacity_set.h"
#include "engine/core/limb.h"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace steepwright::move {

enum class Phase { kBefore, kUnloaded, kTouch, kSettled };  // more to come: keep as data
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
  double slip_margin = 0.0;  ///< rad
  double mu_used = 0.0;
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
};

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
  std::vector<Frame> frames;
};

}  // namespace steepwright::move
