#pragma once

/// Vectors, rotations and poses, and the frame letters that every name in the project uses.
///
/// - W world: x right facing the wall, y horizontal into the wall, z up; origin on the floor at the wall's left foot
/// - P panel (strip): x across, y up-slope, z out of the panel towards the climber; origin at the lower left corner
/// - H hold: origin at the bolt on the panel's face, z out of the panel, y up-slope at rotation 0
/// - S site: origin at the middle of the lip line, x along the lip, y along the floor away from the lip, z its normal
/// - F finger
/// - B segment of the body: axes parallel to W when standing upright, facing the wall, arms hanging
/// - C contact point
///
/// Monograms: `p_WC` position of C from W's origin, in W; `p_PQ_W` from P to Q, in W; `R_WP` orientation of P in W;
/// `X_WP` pose of P in W; `f_C_W` force of the hold ON the body at C, in W. SI units unless the name says otherwise.

#include <Eigen/Core>
#include <Eigen/Geometry>

#include <cmath>

namespace steepwright {

using Vec3 = Eigen::Vector3d;
using Mat3 = Eigen::Matrix3d;

/// Rigid pose: X_AB maps coordinates in B to coordinates in A.
struct Pose {
  Mat3 R = Mat3::Identity();
  Vec3 p = Vec3::Zero();

  [[nodiscard]] Vec3 operator*(const Vec3& p_BQ) const { return p + R * p_BQ; }
  [[nodiscard]] Pose operator*(const Pose& X_BC) const { return {R * X_BC.R, p + R * X_BC.p}; }
  [[nodiscard]] Pose inverse() const { return {R.transpose(), -(R.transpose() * p)}; }
};

/// Skew matrix: skew(a) * b = a x b.
[[nodiscard]] inline Mat3 skew(const Vec3& a) {
  Mat3 S;
  S << 0.0, -a.z(), a.y(), a.z(), 0.0, -a.x(), -a.y(), a.x(), 0.0;
  return S;
}

/// Two unit tangents of a plane with unit normal n: t1 x t2 = n.
struct Tangents {
  Vec3 t1 = Vec3::UnitX(), t2 = Vec3::UnitY();
};

/// Tangents from the axis, x or y, that is far enough from n to keep the cross product well conditioned. The same rule
/// for everyone who counts cone edges from t1; t1 jumps where |n.x| = 0.6.
[[nodiscard]] inline Tangents find_tangents(const Vec3& normal) {
  const Vec3 helper = std::abs(normal.x()) < 0.6 ? Vec3::UnitX() : Vec3::UnitY();
  const Vec3 t1 = normal.cross(helper).normalized();
  return {t1, normal.cross(t1)};
}

/// Rotation by the vector w (axis times angle, rad).
[[nodiscard]] inline Mat3 rotation_by(const Vec3& w) {
  const double angle = w.norm();
  if (angle < 1e-300) return Mat3::Identity();
  return Eigen::AngleAxisd(angle, w / angle).toRotationMatrix();
}

}  // namespace steepwright
