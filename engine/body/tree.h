#pragma once

/// A tree of rigid segments joined by hinges: the model that kinematics runs on. Built once, then const.
///
/// Segment 0 is free (6 degrees of freedom); every other segment hangs on its parent by 0 to 3 body-fixed hinges in
/// the given order. All segment frames are parallel to W in the reference posture (every hinge at 0). Generalised
/// velocity v, n_dof = 6 + n_hinges: v[0..2] velocity of the root's origin in W, v[3..5] angular velocity of the root
/// in W, v[6 + i] rate of hinge i. Turning the root by a small d: R_WB <- exp(d) R_WB.

#include "engine/core/frames.h"

#include <Eigen/Core>
#include <Eigen/Geometry>

#include <string>
#include <vector>

namespace steepwright::body {

inline constexpr int kMaxSegments = 20;
inline constexpr int kMaxHinges = 40;
inline constexpr int kMaxDof = 6 + kMaxHinges;

/// Vector over degrees of freedom or hinges; storage inside, never on the heap.
using DofVector = Eigen::Matrix<double, Eigen::Dynamic, 1, Eigen::ColMajor, kMaxDof, 1>;
/// Jacobian with 3 rows and one column a degree of freedom.
using Jacobian3 = Eigen::Matrix<double, 3, Eigen::Dynamic, Eigen::ColMajor, 3, kMaxDof>;

enum class Axis { kX, kY, kZ };

/// One revolute degree of freedom about a coordinate axis of the segment it moves.
struct Hinge {
  std::string name;
  int segment = 0;  ///< the segment that it turns
  Axis axis = Axis::kX;
  double sign = 1.0;   ///< +1 or -1: positive angle = right-handed turn about sign * axis
  double lower = 0.0;  ///< rad
  double upper = 0.0;  ///< rad
};

struct Segment {
  std::string name;
  int parent = -1;           ///< index below the segment's own; -1 for the root
  Vec3 p_PB = Vec3::Zero();  ///< joint centre (= origin of B) in the parent's frame, m
  int first_hinge = 0;
  int n_hinges = 0;
  double mass_kg = 0.0;
  Vec3 p_Bcm = Vec3::Zero();        ///< centre of mass in B, m
  Mat3 inertia_Bcm = Mat3::Zero();  ///< about the centre of mass, in B, kg m^2 (statics does not use it)
};

struct Tree {
  std::vector<Segment> segments;
  std::vector<Hinge> hinges;
  double mass_kg = 0.0;  ///< sum over segments

  [[nodiscard]] int n_segments() const { return static_cast<int>(segments.size()); }
  [[nodiscard]] int n_hinges() const { return static_cast<int>(hinges.size()); }
  [[nodiscard]] int n_dof() const { return 6 + n_hinges(); }

  /// Index of a segment or hinge by name; -1 when there is none.
  [[nodiscard]] int find_segment(const std::string& name) const;
  [[nodiscard]] int find_hinge(const std::string& name) const;
};

/// Where the body is: the coordinates that the tree's kinematics is a function of.
struct Posture {
  Vec3 p_WB = Vec3::Zero();      ///< origin of the root segment
  Mat3 R_WB = Mat3::Identity();  ///< orientation of the root segment
  DofVector angles;              ///< n_hinges, rad

  /// The posture moved by the tangent step v (n_dof).
  void step(const DofVector& v);
};

}  // namespace steepwright::body
