#pragma once

/// Positions, Jacobians, centre of mass and gravity torques of a tree. Free functions of (const Tree&, const
/// Kinematics&); nothing allocates. `update_kinematics` fills the workspace; all others read it.

#include "engine/body/tree.h"

#include <array>

namespace steepwright::body {

/// Storage for one posture of one tree. One per thread. Fields are filled by update_kinematics.
struct Kinematics {
  std::array<Mat3, kMaxSegments> R_WB;    ///< orientation of each segment
  std::array<Vec3, kMaxSegments> p_WB;    ///< origin (joint centre) of each segment
  std::array<Vec3, kMaxHinges> axis_W;    ///< unit hinge axes (sign included)
  std::array<Vec3, kMaxHinges> p_Whinge;  ///< a point on each hinge axis (= p_WB of its segment)
  std::array<double, kMaxSegments> subtree_mass_kg;
  std::array<Vec3, kMaxSegments> subtree_mp;  ///< sum of mass * p_Wcm over the segment's subtree, kg m
  Vec3 p_Wcm = Vec3::Zero();                  ///< centre of mass of the whole body
};

/// Fills `kinematics` for the posture. Cost O(n_segments + n_hinges), allocation-free.
void update_kinematics(const Tree& tree, const Posture& posture, Kinematics& kinematics);

/// The two halves of update_kinematics, for loops that need no centre of mass until they end: poses and hinge axes;
/// then the subtrees' masses, moments of mass and the centre of mass of the poses that are there.
void update_poses(const Tree& tree, const Posture& posture, Kinematics& kinematics);
void update_mass_sums(const Tree& tree, Kinematics& kinematics);

/// Position in W of the point p_BQ fixed to `segment`.
[[nodiscard]] Vec3 find_position(const Kinematics& kinematics, int segment, const Vec3& p_BQ);

/// Jacobian of the point of `segment` that is now at p_WQ: v_WQ = J v. Writes 3 x n_dof; zero columns off the chain.
void calc_point_jacobian(const Tree& tree, const Kinematics& kinematics, int segment, const Vec3& p_WQ, Jacobian3& J);

/// Jacobian of the angular velocity of `segment`: w_WB = J v.
void calc_angular_jacobian(const Tree& tree, const Kinematics& kinematics, int segment, Jacobian3& J);

/// Jacobian of the whole-body centre of mass.
void calc_com_jacobian(const Tree& tree, const Kinematics& kinematics, Jacobian3& J);

/// Generalised forces that hold the body against gravity with no contact: g = sum_b m_b g z . J_cm,b (n_dof).
/// Rows 0..2 are the weight, rows 3..5 its moment about the root's origin.
void calc_gravity_torques(const Tree& tree, const Kinematics& kinematics, DofVector& torques);

/// A force on the body whose point of application is fixed in W (a hold does not move).
struct AppliedForce {
  int segment = 0;
  Vec3 p_WQ = Vec3::Zero();
  Vec3 f_Q_W = Vec3::Zero();
};

/// Holding torques tau = g(q) - sum_k J_k(q)^T f_k (n_dof); the first six rows are the residual of equilibrium.
void calc_holding_torques(const Tree& tree, const Kinematics& kinematics, const AppliedForce* forces, int n_forces,
                          DofVector& torques);

/// Gradient by q of y . tau(q) with y (n_dof), the forces and their points in W held fixed:
/// grad_i = d/dq_i [ y . tau ]. This is what the envelope theorem asks of the kinematics: with y the multipliers of
/// the torque rows it gives the exact gradient of a force optimum by the posture. O(n_dof + n_forces * depth).
void calc_torque_gradient(const Tree& tree, const Kinematics& kinematics, const DofVector& y,
                          const AppliedForce* forces, int n_forces, DofVector& gradient);

}  // namespace steepwright::body
