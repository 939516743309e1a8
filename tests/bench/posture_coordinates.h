#pragma once

/// The posture as a flat vector, for outside optimisers: position of the root, its turn as R = Rz(c) Ry(b) Rx(a) with
/// (a, b, c) in this order, then the hinge angles.

#include "engine/body/kinematics.h"

#include <algorithm>
#include <cmath>

namespace steepwright::bench {

using Coordinates = Eigen::Matrix<double, Eigen::Dynamic, 1>;

[[nodiscard]] inline Mat3 find_root_rotation(const double* x) {
  return (Eigen::AngleAxisd(x[5], Vec3::UnitZ()) * Eigen::AngleAxisd(x[4], Vec3::UnitY()) *
          Eigen::AngleAxisd(x[3], Vec3::UnitX()))
      .toRotationMatrix();
}

/// Columns: angular velocity of the root in W per rate of a, b, c.
[[nodiscard]] inline Mat3 find_root_rates(const double* x) {
  const Mat3 Rz = Eigen::AngleAxisd(x[5], Vec3::UnitZ()).toRotationMatrix();
  const Mat3 Rzy = Rz * Eigen::AngleAxisd(x[4], Vec3::UnitY()).toRotationMatrix();
  Mat3 E;
  E.col(0) = Rzy.col(0);
  E.col(1) = Rz.col(1);
  E.col(2) = Vec3::UnitZ();
  return E;
}

inline void read_posture(const double* x, int n_hinges, body::Posture& posture) {
  posture.p_WB = Eigen::Map<const Vec3>(x);
  posture.R_WB = find_root_rotation(x);
  posture.angles = Eigen::Map<const Eigen::VectorXd>(x + 6, n_hinges);
}

inline void write_coordinates(const body::Posture& posture, double* x) {
  const Mat3& R = posture.R_WB;
  Eigen::Map<Vec3> root(x);
  root = posture.p_WB;
  x[3] = std::atan2(R(2, 1), R(2, 2));
  x[4] = -std::asin(std::clamp(R(2, 0), -1.0, 1.0));
  x[5] = std::atan2(R(1, 0), R(0, 0));
  Eigen::Map<Eigen::VectorXd>(x + 6, posture.angles.size()) = posture.angles;
}

/// From derivatives by the tangent step to derivatives by the coordinates.
inline void turn_root_columns(const Mat3& root_rates, body::Jacobian3& J) {
  const Mat3 by_angles = J.middleCols<3>(3) * root_rates;
  J.middleCols<3>(3) = by_angles;
}

}  // namespace steepwright::bench
