#include "engine/body/kinematics.h"
#include "engine/core/constants.h"

#include <array>
#include <cstddef>

// y . tau(q) is a power: with the velocity field v that the rates y give the body,
//
//   y . tau = sum_b m_b g z . v(p_cm,b) - sum_k f_k . v(p_k) = sum over points of F . v(p).
//
// v on a segment is affine: v(p) = V + Omega x p. Turning hinge i (axis w, through o) moves every later axis and every
// point of its subtree rigidly, so a point that moves with the body contributes
//
//   d(F . v)/dq_i = F . (w x (v(p) - V_<i(p))) + F . (Omega_<i x (w x (p - o)))
//                 = w . (v x F - V x F - (B - tr B) Omega) + w . ((B_o^T - tr B_o) Omega),
//   B = p F^T, B_o = (p - o) F^T,
//
// with V, Omega the field of the degrees of freedom before i. A point that stays in W does not take part in the turn:
// it loses F . (Omega_seg x J_i p) = J_i p . G with G = F x Omega_seg. All sums run over subtrees.

namespace steepwright::body {

namespace {

// v(p) = V + Omega x p.
struct VelocityField {
  Vec3 V, Omega;
  [[nodiscard]] Vec3 at(const Vec3& p) const { return V + Omega.cross(p); }
  void add_turn(const Vec3& axis, const Vec3& origin, double rate) {
    Omega += rate * axis;
    V += rate * origin.cross(axis);
  }
};

// Sums over the points of a subtree.
struct PointSums {
  Vec3 F = Vec3::Zero();
  Vec3 v_cross_F = Vec3::Zero();
  Mat3 p_F = Mat3::Zero();
  Vec3 G = Vec3::Zero();
  Vec3 p_cross_G = Vec3::Zero();

  void add(const PointSums& other) {
    F += other.F;
    v_cross_F += other.v_cross_F;
    p_F += other.p_F;
    G += other.G;
    p_cross_G += other.p_cross_G;
  }
};

// w . (result) is the derivative by a turn about w through o, before the loss of points that stay in W.
Vec3 find_turn_moment(const PointSums& sums, const VelocityField& before, const Vec3& origin) {
  const double trace = sums.p_F.trace();
  const double trace_o = trace - origin.dot(sums.F);
  return sums.v_cross_F - before.V.cross(sums.F) - sums.p_F * before.Omega + trace * before.Omega +
         sums.p_F.transpose() * before.Omega - origin.dot(before.Omega) * sums.F - trace_o * before.Omega;
}

}  // namespace

void calc_torque_gradient(const Tree& tree, const Kinematics& kinematics, const DofVector& y,
                          const AppliedForce* forces, int n_forces, DofVector& gradient) {
  const std::size_t n = tree.segments.size();
  std::array<VelocityField, kMaxSegments> fields;
  std::array<PointSums, kMaxSegments> sums;

  // Outward: velocity fields, and the weights as points that move with the body.
  const Vec3& p_root = kinematics.p_WB[0];
  const Vec3 root_rate = y.segment<3>(3);
  fields[0] = {y.head<3>() - root_rate.cross(p_root), root_rate};
  for (std::size_t s = 0; s < n; ++s) {
    const Segment& segment = tree.segments[s];
    if (s > 0) fields[s] = fields[static_cast<std::size_t>(segment.parent)];
    const int end = segment.first_hinge + segment.n_hinges;
    for (int h = segment.first_hinge; h < end; ++h) {
      fields[s].add_turn(kinematics.axis_W[static_cast<std::size_t>(h)], kinematics.p_WB[s], y[6 + h]);
    }
    const double weight = kGravity * segment.mass_kg;
    const Vec3 p_cm = kinematics.p_WB[s] + kinematics.R_WB[s] * segment.p_Bcm;
    const Vec3 v = weight * fields[s].at(p_cm);
    sums[s].F = Vec3(0.0, 0.0, weight);
    sums[s].v_cross_F = Vec3(v.y(), -v.x(), 0.0);
    sums[s].p_F.col(2) = weight * p_cm;
  }

  // Holds push with f, so they enter with F = -f; their points stay in W.
  for (int k = 0; k < n_forces; ++k) {
    const auto s = static_cast<std::size_t>(forces[k].segment);
    const Vec3& p = forces[k].p_WQ;
    const Vec3 F = -forces[k].f_Q_W;
    const Vec3 G = F.cross(fields[s].Omega);
    sums[s].F += F;
    sums[s].v_cross_F += fields[s].at(p).cross(F);
    sums[s].p_F += p * F.transpose();
    sums[s].G += G;
    sums[s].p_cross_G += p.cross(G);
  }

  // Inward: each hinge reads the sums of its subtree and the field before it.
  gradient.resize(tree.n_dof());
  for (std::size_t s = n - 1; s > 0; --s) {
    const Segment& segment = tree.segments[s];
    const auto parent = static_cast<std::size_t>(segment.parent);
    const Vec3& origin = kinematics.p_WB[s];
    const Vec3 moment_G = sums[s].p_cross_G - origin.cross(sums[s].G);
    VelocityField before = fields[parent];
    const int end = segment.first_hinge + segment.n_hinges;
    for (int h = segment.first_hinge; h < end; ++h) {
      const Vec3& axis = kinematics.axis_W[static_cast<std::size_t>(h)];
      gradient[6 + h] = axis.dot(find_turn_moment(sums[s], before, origin) - moment_G);
      before.add_turn(axis, origin, y[6 + h]);
    }
    sums[parent].add(sums[s]);
  }

  // The root: its translation moves only the points against those that stay; its turn axes stay in W.
  gradient.head<3>() = -sums[0].G;
  gradient.segment<3>(3) = find_turn_moment(sums[0], fields[0], p_root) - (sums[0].p_cross_G - p_root.cross(sums[0].G));
}

}  // namespace steepwright::body
