#include "engine/figure/skeleton.h"

#include "tests/support/matchers.h"
#include "tests/support/stick_scene.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>

namespace steepwright::tests {
namespace {

const figure::Joint* find_joint(const figure::Skeleton& skeleton, const std::string& name) {
  const auto found = std::find_if(skeleton.joints.begin(), skeleton.joints.end(),
                                  [&name](const figure::Joint& joint) { return joint.name == name; });
  return found == skeleton.joints.end() ? nullptr : &*found;
}

TEST(Skeleton, NamesEverySegmentAndFreeEnd) {
  const figure::Skeleton skeleton = figure::make_skeleton(make_stick_body());
  for (const char* name :
       {"pelvis", "thorax", "left forearm", "left hand end", "right foot toe", "right foot heel", "head top"})
    EXPECT_NE(find_joint(skeleton, name), nullptr) << name;
}

TEST(Skeleton, TakesTheTrunkAsMainBoneOfPelvisAndThorax) {
  const body::Body body = make_stick_body();
  const figure::Skeleton skeleton = figure::make_skeleton(body);
  const auto length_of = [&](const std::string& name) {
    const int main = skeleton.main_bone[static_cast<std::size_t>(body.tree.find_segment(name))];
    return main < 0 ? 0.0 : skeleton.bones[static_cast<std::size_t>(main)].length_m;
  };
  // make_stick_body: thorax 120 mm over the pelvis, head 450 mm over the thorax, shank 430 mm below the hip.
  EXPECT_NEAR(length_of("pelvis"), 0.12, 1e-12);
  EXPECT_NEAR(length_of("thorax"), 0.45, 1e-12);
  EXPECT_NEAR(length_of("left thigh"), 0.43, 1e-12);
}

TEST(Skeleton, BonesKeepTheirLengthInEveryPosture) {
  const body::Body body = make_stick_body();
  const figure::Skeleton skeleton = figure::make_skeleton(body);
  body::Kinematics kinematics;
  for (const double reach : {0.0, 0.3, 1.0}) {
    body::update_kinematics(body.tree, make_stick_posture(body, reach), kinematics);
    const std::vector<Vec3> joints = figure::calc_joint_positions(skeleton, kinematics);
    for (const figure::Bone& bone : skeleton.bones) {
      const double length =
          (joints[static_cast<std::size_t>(bone.from)] - joints[static_cast<std::size_t>(bone.to)]).norm();
      EXPECT_NEAR(length, bone.length_m, 1e-12);
    }
  }
}

TEST(Skeleton, PutsTheHeadAroundItsCapsule) {
  const figure::Skeleton skeleton = figure::make_skeleton(make_stick_body());
  EXPECT_NEAR(skeleton.head_radius_m, 0.095, 1e-12);
  EXPECT_TRUE(is_near(skeleton.head_B, Vec3(0.0, 0.0, 0.14), 1e-12, "m"));
}

}  // namespace
}  // namespace steepwright::tests
