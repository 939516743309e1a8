#include "engine/figure/skeleton.h"

#include <algorithm>
#include <array>

namespace steepwright::figure {

namespace {

// Where a chain ends when nothing hangs on it: the middle of mass, doubled.
Vec3 find_free_end(const body::Segment& segment) { return 2.0 * segment.p_Bcm; }

bool is_segment_of(const std::array<body::Station, 2>& stations, int segment) {
  return std::any_of(stations.begin(), stations.end(),
                     [segment](const body::Station& station) { return station.segment == segment; });
}

class SkeletonMaker {
 public:
  explicit SkeletonMaker(const body::Body& body) : body_(body) {}

  Skeleton make() {
    const auto& segments = body_.tree.segments;
    for (int i = 0; i < body_.tree.n_segments(); ++i)
      skeleton_.joints.push_back({segments[static_cast<std::size_t>(i)].name, i, Vec3::Zero()});
    skeleton_.main_bone.assign(segments.size(), -1);
    for (int i = 1; i < body_.tree.n_segments(); ++i) add_link(i);
    for (int i = 0; i < body_.tree.n_segments(); ++i) {
      if (is_leaf(i)) add_end(i);
    }
    return std::move(skeleton_);
  }

 private:
  [[nodiscard]] bool is_leaf(int segment) const {
    return std::none_of(body_.tree.segments.begin(), body_.tree.segments.end(),
                        [segment](const body::Segment& other) { return other.parent == segment; });
  }

  // From the parent's origin to the origin of what hangs on it.
  void add_link(int child) {
    const body::Segment& segment = body_.tree.segments[static_cast<std::size_t>(child)];
    if (segment.p_PB.norm() > 0.0) add_bone(segment.parent, child, segment.parent, segment.p_PB.norm());
  }

  void add_end(int leaf) {
    const body::Segment& segment = body_.tree.segments[static_cast<std::size_t>(leaf)];
    if (is_segment_of(body_.foot_stations, leaf)) {
      const body::Station& foot =
          body_.foot_stations[0].segment == leaf ? body_.foot_stations[0] : body_.foot_stations[1];
      const Vec3 toe_B = foot.p_BC;
      add_joint_on(leaf, segment.name + " toe", toe_B);
      if (body_.foot_length_m > 0.0) add_joint_on(leaf, segment.name + " heel", find_heel(leaf, foot));
    } else if (const auto hand = find_hand(leaf); hand >= 0) {
      const auto open_hand = static_cast<std::size_t>(Grip::kOpenHand);
      add_joint_on(leaf, segment.name + " end", body_.hand_stations[static_cast<std::size_t>(hand)][open_hand].p_BC);
    } else {
      add_head(leaf);
    }
  }

  // The rearmost end of the foot's flesh; without flesh, most of a foot's length behind the toe.
  [[nodiscard]] Vec3 find_heel(int foot_segment, const body::Station& foot) const {
    Vec3 heel_B = foot.p_BC - 0.85 * body_.foot_length_m * foot.distal_B;
    double rearmost = 1e300;
    for (const body::Capsule& capsule : body_.capsules) {
      if (capsule.segment != foot_segment) continue;
      for (const Vec3& end_B : {capsule.pA_B, capsule.pB_B}) {
        if (end_B.dot(foot.distal_B) >= rearmost) continue;
        rearmost = end_B.dot(foot.distal_B);
        heel_B = end_B;
      }
    }
    return heel_B;
  }

  void add_head(int leaf) {
    const body::Segment& segment = body_.tree.segments[static_cast<std::size_t>(leaf)];
    Vec3 middle_B = segment.p_Bcm;
    double radius = 0.0;
    for (const body::Capsule& capsule : body_.capsules) {
      if (capsule.segment != leaf) continue;
      const double larger = std::max(capsule.radius_A, capsule.radius_B);
      if (larger < radius) continue;
      radius = larger;
      middle_B = 0.5 * (capsule.pA_B + capsule.pB_B);
    }
    if (skeleton_.head_segment < 0) {
      skeleton_.head_segment = leaf;
      skeleton_.head_B = middle_B;
      skeleton_.head_radius_m = radius > 0.0 ? radius : 0.6 * middle_B.norm();
    }
    const Vec3 top_B = middle_B.norm() > 0.0 ? Vec3(middle_B + middle_B.normalized() * skeleton_.head_radius_m)
                                             : find_free_end(segment);
    add_joint_on(leaf, segment.name + " top", top_B);
  }

  [[nodiscard]] int find_hand(int segment) const {
    for (std::size_t side = 0; side < 2; ++side) {
      if (body_.hand_stations[side][0].segment == segment) return static_cast<int>(side);
    }
    return -1;
  }

  void add_joint_on(int segment, std::string name, const Vec3& p_BQ) {
    skeleton_.joints.push_back({std::move(name), segment, p_BQ});
    add_bone(segment, static_cast<int>(skeleton_.joints.size()) - 1, segment, p_BQ.norm());
  }

  void add_bone(int from, int to, int segment, double length_m) {
    int& main = skeleton_.main_bone[static_cast<std::size_t>(segment)];
    // A segment with several bones (pelvis, thorax) is as long as the one that leads on along the trunk: the one
    // nearest to its own axis of symmetry.
    const auto lateral = [this](int joint) { return std::abs(find_in_parent(joint).x()); };
    if (main < 0 || lateral(to) < lateral(skeleton_.bones[static_cast<std::size_t>(main)].to) - 1e-9)
      main = static_cast<int>(skeleton_.bones.size());
    skeleton_.bones.push_back({from, to, segment, length_m});
  }

  [[nodiscard]] Vec3 find_in_parent(int joint) const {
    const Joint& end = skeleton_.joints[static_cast<std::size_t>(joint)];
    return end.p_BQ.isZero() ? body_.tree.segments[static_cast<std::size_t>(end.segment)].p_PB : end.p_BQ;
  }

  const body::Body& body_;
  Skeleton skeleton_;
};

}  // namespace

Skeleton make_skeleton(const body::Body& body) { return SkeletonMaker(body).make(); }

std::vector<Vec3> calc_joint_positions(const Skeleton& skeleton, const body::Kinematics& kinematics) {
  std::vector<Vec3> positions;
  positions.reserve(skeleton.joints.size());
  for (const Joint& joint : skeleton.joints)
    positions.push_back(body::find_position(kinematics, joint.segment, joint.p_BQ));
  return positions;
}

}  // namespace steepwright::figure
