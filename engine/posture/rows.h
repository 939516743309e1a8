#pragma once

/// The constraints of a stance, linearised at one posture: equality rows (contacts) and one-sided rows (directions of
/// hands and feet, coupled joint limits, clearance), value(q + d) ~ value + A d.
///
/// Lengths count in Body::scale here, in the values and in the root's shift (d[0..2]): metres beside angles would weigh
/// differently for a small body than for a tall one.

#include "engine/body/kinematics.h"
#include "engine/posture/balance.h"
#include "engine/posture/stance_problem.h"

#include <array>
#include <cstdint>
#include <limits>

namespace steepwright::posture {

inline constexpr int kMaxEqualityRows = 14;  ///< four contacts and two of balance
inline constexpr int kMaxOneSidedRows = 48;
inline constexpr int kMaxRows = kMaxEqualityRows + kMaxOneSidedRows;

using RowMatrix = Eigen::Matrix<double, Eigen::Dynamic, body::kMaxDof, Eigen::RowMajor, kMaxRows, body::kMaxDof>;

/// A set of degrees of freedom: bit i stands for v[i].
using DofSet = std::uint64_t;
static_assert(body::kMaxDof <= 64, "a DofSet holds 64");

/// What a row stands for, so that a failure can be named.
struct RowTag {
  enum class Kind { kContact, kPlumb, kBalance, kDirection, kCoupledLimit, kClearance };
  Kind kind = Kind::kContact;
  int index = 0;  ///< limb of the problem, coupled limit, capsule
};

/// Rows of one posture. Equality rows first (value must be 0), then one-sided rows (value must be >= 0).
struct Rows {
  int n_equality = 0;
  int n_one_sided = 0;
  Eigen::Matrix<double, kMaxRows, body::kMaxDof, Eigen::RowMajor> A =
      Eigen::Matrix<double, kMaxRows, body::kMaxDof, Eigen::RowMajor>::Zero();  ///< n() x n_dof used
  Eigen::Matrix<double, kMaxRows, 1> value;
  std::array<RowTag, kMaxRows> tags;
  /// Columns outside are zero (those inside may be): a contact feels its own limb, the trunk and the root, and products
  /// of rows need go through nothing else. Holds for the rows past n() too, so that a new row clears only what the last
  /// one in its place has written.
  std::array<DofSet, kMaxRows> support{};
  /// Least value of the one-sided rows for which there was no room: those that are kept lie nearer to their border.
  /// Infinite where all have room.
  double least_left_out = std::numeric_limits<double>::infinity();

  [[nodiscard]] int n() const { return n_equality + n_one_sided; }
};

/// Which constraints count. Leaving some out tells which one stands in the way.
struct RowOptions {
  bool directions = true;
  bool coupled_limits = true;
  bool clearance = true;
  /// Centre of mass in the vertical plane through the two loaded limbs (over the one): what balance asks where so few
  /// contacts resist no moment about the line between them.
  bool plumb = false;
  /// Half-planes in which the centre of mass must be; none: balance is not asked.
  const BalanceRegion* balance = nullptr;
  int without_limb = -1;  ///< index into problem.limbs whose contact is not asked (its directions are)
};

/// Clearance is kept at this distance from the surface, times Body::scale: the flesh of the capsules gives by less, m
/// (assumed).
inline constexpr double kClearanceAim = 0.001;

/// How far inside a half-plane of balance the centre of mass is asked to be (m times Body::scale), and what that
/// length counts as, so that the tolerance of one-sided rows is less than that.
inline constexpr double kBalanceAim = 2e-4;
inline constexpr double kBalanceScale = 20.0;

/// Evaluates all constraints; one-sided rows far from their border are left out. Allocation-free.
void calc_rows(const StanceProblem& problem, const body::Posture& posture, const body::Kinematics& kinematics,
               const RowOptions& options, Rows& rows);

/// Largest violations of the constraints, for acceptance and for reports.
struct Violation {
  double contact_m = 0.0;    ///< largest distance of a contact from its place
  int contact_limb = -1;     ///< index into problem.limbs
  double one_sided = 0.0;    ///< largest violation of a direction (cosine) or coupled limit
  double clearance_m = 0.0;  ///< smallest capsule clearance (positive: free), only when the problem has a wall
  int clearance_capsule = -1;
  Vec3 clearance_p_WQ = Vec3::Zero();  ///< on that capsule's axis, where it is nearest to the surface
  double hinge = 0.0;                  ///< rad outside a hinge's range
};
/// Half the squared depth of the body inside wall and room, summed over the capsules' samples, in units of (10 mm times
/// Body::scale)^2, and its gradient (SI).
double calc_obstruction(const StanceProblem& problem, const body::Kinematics& kinematics, body::DofVector& gradient);

[[nodiscard]] Violation find_violation(const StanceProblem& problem, const body::Posture& posture,
                                       const body::Kinematics& kinematics, const RowOptions& options);

}  // namespace steepwright::posture
