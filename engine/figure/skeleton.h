#pragma once

/// The body as named joints and straight bones between them: what a stick figure is drawn from and what the record
/// lists. Works on any tree: it names joints after the segments that begin there.

#include "engine/body/body.h"
#include "engine/body/kinematics.h"

#include <string>
#include <vector>

namespace steepwright::figure {

/// A point fixed to a segment. Every segment gives its origin (under the segment's name); a segment that ends a chain
/// also gives its end: "<segment> end" (hands: middle of the contact of the open hand), "<segment> toe" and
/// "<segment> heel" (feet), "<segment> top" (head).
struct Joint {
  std::string name;
  int segment = 0;
  Vec3 p_BQ = Vec3::Zero();
};

/// A rigid connection of two joints; both are fixed to the segment, so its length never changes.
struct Bone {
  int from = 0, to = 0;  ///< indices into Skeleton::joints
  int segment = 0;
  double length_m = 0.0;
};

struct Skeleton {
  std::vector<Joint> joints;
  std::vector<Bone> bones;
  std::vector<int> main_bone;  ///< per segment: the bone whose length is the segment's; -1 when it has none
  int head_segment = -1;
  Vec3 head_B = Vec3::Zero();  ///< middle of the head, in its segment
  double head_radius_m = 0.0;
};

[[nodiscard]] Skeleton make_skeleton(const body::Body& body);

/// Positions of all joints in W for a posture (as many as Skeleton::joints).
[[nodiscard]] std::vector<Vec3> calc_joint_positions(const Skeleton& skeleton, const body::Kinematics& kinematics);

}  // namespace steepwright::figure
