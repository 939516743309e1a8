#pragma once

/// The contact force problem of one stance at one posture.
///
/// Unknowns: the force f_p of the hold on the body at every contact point p (W, N). With weight m g along -z at the
/// centre of mass c:
///
///   sum_p f_p = m g z,   sum_p (p_p - c) x f_p = 0                                    equilibrium, 6 rows
///   f_p in K(contact of p)                                                            Coulomb cone (exact) and faces
///   a_i . sum_{p in contact} f_p <= rho b_i                                           capacity of the limb
///   -(rho active_lower_j + passive_lower_j) <= t0_j + T_j f <= rho active_upper_j + passive_upper_j     joint torques
///
/// All storage is inside and bounded: building and solving a problem allocates nothing.

#include "engine/core/bounded_vector.h"
#include "engine/core/capacity_set.h"
#include "engine/core/frames.h"

#include <Eigen/Core>

namespace steepwright::statics {

inline constexpr int kMaxContacts = 8;
inline constexpr int kMaxPoints = 12;
inline constexpr int kMaxForce = 3 * kMaxPoints;
inline constexpr int kMaxTorqueRows = 40;

using ForceVector = Eigen::Matrix<double, Eigen::Dynamic, 1, Eigen::ColMajor, kMaxForce, 1>;
using TorqueVector = Eigen::Matrix<double, Eigen::Dynamic, 1, Eigen::ColMajor, kMaxTorqueRows, 1>;
/// Row-major so that one joint's row is contiguous.
using TorqueMap = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor, kMaxTorqueRows, kMaxForce>;

/// One limb on one site.
struct Contact {
  CapacitySet capacity;     ///< in W
  double scale_N = 1000.0;  ///< force that counts as activation 1 in the load distribution
  int first_point = 0;
  int n_points = 1;
};

struct StaticsProblem {
  double weight_N = 0.0;
  double length_m = 1.0;  ///< arm of a moment that counts as much as the weight itself where balance is weighed
  Vec3 p_Wcm = Vec3::Zero();
  BoundedVector<Contact, kMaxContacts> contacts;
  BoundedVector<Vec3, kMaxPoints> points;  ///< p_WC, grouped by contact

  // Joint torque rows tau = torque_offset + torque_map f; none when n_torque_rows == 0.
  int n_torque_rows = 0;
  TorqueVector torque_offset;                                             ///< n_torque_rows, Nm
  TorqueMap torque_map;                                                   ///< n_torque_rows x 3 n_points, m
  TorqueVector active_lower, active_upper, passive_lower, passive_upper;  ///< all >= 0, Nm

  [[nodiscard]] int n_points() const { return static_cast<int>(points.size()); }
  [[nodiscard]] int n_force() const { return 3 * n_points(); }
};

enum class Status {
  kSolved,
  kInfeasible,    ///< proven: no forces satisfy the constraints
  kLimitReached,  ///< iterations or precision ran out; the best iterate is returned with its residuals
};

}  // namespace steepwright::statics
