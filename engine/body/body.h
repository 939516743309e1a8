#pragma once

/// The climber's body: tree, coupled limits, torque limits, contact stations and capsules. Built once from Measures,
/// then const and shared by threads.
///
/// Hinge sign conventions (positive): trunk and neck: flexion forward, side-bend to the right, rotation to the left
/// (counter-clockwise seen from above); shoulder and hip: flexion, abduction, internal rotation; elbow, knee: flexion;
/// forearm: pronation from thumb-forward; wrist: flexion (towards the palm), ulnar deviation; ankle: dorsiflexion,
/// eversion; girdle: elevation, protraction. The reference posture stands upright facing the wall, arms hanging, palms
/// to the thighs (thumbs forward).

#include "engine/body/kinematics.h"
#include "engine/body/measures.h"
#include "engine/body/tree.h"
#include "engine/core/bounded_vector.h"
#include "engine/core/limb.h"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace steepwright::body {

/// A tapered capsule of flesh around a segment, for clearance.
struct Capsule {
  std::string name;
  int segment = 0;
  Vec3 pA_B = Vec3::Zero();
  Vec3 pB_B = Vec3::Zero();
  double radius_A = 0.0;  ///< m
  double radius_B = 0.0;
  /// A hand or the front of a foot: counts only while its limb holds nothing (in contact it touches the wall).
  std::optional<Limb> only_when_free = std::nullopt;
};

/// A limit that couples the hinges of one ball-like joint (hip, shoulder): value(q) >= 0 inside; smooth.
struct CoupledLimit {
  std::string name;
  std::array<int, 3> hinges{};     ///< flexion, abduction, rotation
  std::array<double, 3> lower{};   ///< rad, end of range with the other two at the centre
  std::array<double, 3> upper{};   ///< rad
  std::array<double, 3> center{};  ///< rad
  double abduction_slope = 0.0;    ///< growth of the upper end of abduction per rad of flexion past the centre
};

/// Value and gradient by its three hinges of a coupled limit; value = 1 - gauge, so 1 at the centre, 0 on the border.
struct CoupledLimitValue {
  double value = 0.0;
  std::array<double, 3> gradient{};
};
[[nodiscard]] CoupledLimitValue find_coupled_limit(const CoupledLimit& limit, const DofVector& angles);

/// Torque that a hinge can hold in each direction at its present angle. A muscle torque tau is held when
/// -(rho * active_lower + passive_lower) <= tau <= rho * active_upper + passive_upper; all >= 0, Nm; active > 0.
/// Derivatives are by the hinge's own angle.
struct TorqueLimit {
  double active_lower = 0.0, active_upper = 0.0;
  double passive_lower = 0.0, passive_upper = 0.0;
  double d_active_lower = 0.0, d_active_upper = 0.0;
  double d_passive_lower = 0.0, d_passive_upper = 0.0;
};
using TorqueLimits = std::array<TorqueLimit, kMaxHinges>;

struct Body;

/// Fills the first n_hinges entries. Allocation-free.
void calc_torque_limits(const Body& body, const DofVector& angles, TorqueLimits& limits);

/// Where a limb touches, fixed to its segment.
struct Station {
  int segment = 0;
  Vec3 p_BC = Vec3::Zero();        ///< middle of the contact
  Vec3 distal_B = Vec3::UnitZ();   ///< hand: wrist to knuckles; foot: heel to toe
  Vec3 lateral_B = Vec3::UnitX();  ///< hand: towards the climber's right when the palm faces the wall with fingers up;
                                   ///< foot: to the right
  Vec3 palmar_B = Vec3::UnitY();   ///< hand: out of the palm; foot: out of the sole (towards the hold)
  double half_spread_m = 0.0;      ///< the two force points lie at +- this along the lip; 0: one point
};

struct Body {
  Measures measures;
  Tree tree;
  std::vector<CoupledLimit> coupled_limits;
  std::vector<Capsule> capsules;
  std::array<std::array<Station, kGrips.size()>, 2> hand_stations;  ///< [left 0, right 1][grip]
  std::array<Station, 2> foot_stations;                             ///< inner front edge of the shoe (big toe)
  std::array<std::array<int, 2>, 2> wrist_hinges;                   ///< [left 0, right 1][flexion, deviation]

  double scale = 1.0;  ///< stature over the reference man's: lengths that are the searches' own grow with it, so that a
                       ///< body scaled with its wall is led the same way
  double span_m = 0.0;  ///< as built
  double hand_length_m = 0.0;
  double foot_length_m = 0.0;

  [[nodiscard]] const Station& station(Limb limb, Grip grip) const;

  /// Per hinge constants that calc_torque_limits reads; filled by make_body.
  struct HingeStrength {
    enum class Curve { kConstant, kClippedCosine };
    Curve curve_lower = Curve::kConstant, curve_upper = Curve::kConstant;
    double peak_lower = 0.0, peak_upper = 0.0;  ///< Nm
    double c2_lower = 0.0, c3_lower = 0.0;      ///< cosine: peak * cos(c2 (q - c3)), floored
    double c2_upper = 0.0, c3_upper = 0.0;
    double floor_share_lower = 0.0, floor_share_upper = 0.0;
    /// Ligament bounds, Nm: `lower` holds negative torque at the upper end of the range, `upper` positive at the lower.
    double passive_lower = 0.0, passive_upper = 0.0;
  };
  std::array<HingeStrength, kMaxHinges> strengths;
};

/// Builds the body. Never fails on measures that the climber file's range checks accept.
[[nodiscard]] Body make_body(const Measures& measures);

/// Measures taken on the finished model, for checks against survey data, m.
[[nodiscard]] double find_span(const Body& body);                     ///< fingertip to fingertip, T-posture
[[nodiscard]] double find_standing_overhead_reach(const Body& body);  ///< flat feet, girdle raised, straight hand

}  // namespace steepwright::body
