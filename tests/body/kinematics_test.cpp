#include "engine/body/kinematics.h"

#include "engine/body/body.h"
#include "engine/core/constants.h"
#include "tests/body/random_posture.h"
#include "tests/support/malloc_guard.h"
#include "tests/support/matchers.h"

#include <cmath>

namespace steepwright::body {
namespace {

using tests::allocation_count;
using tests::draw_dof_vector;
using tests::draw_posture;
using tests::is_near;
using tests::make_measures;

// Central differences: error about step^2 + 1e-16 / step.
constexpr double kDifferenceStep = 1e-6;
constexpr double kDifferenceTolerance = 2e-9;
// The O(n) gradient of second-order quantities, relative to its largest entry.
constexpr double kGradientTolerance = 1e-6;

// Two links turning about the same horizontal axis x, hanging along -z: lengths 0.30 and 0.25, masses 2.0 and 1.5,
// centres of mass 0.13 and 0.11 from the upper end. The chain swings in the y-z plane; a positive turn about x carries
// -z to +y.
Tree make_two_link_tree() {
  Tree tree;
  Segment base;
  base.name = "base";
  tree.segments.push_back(base);
  const double masses[2] = {2.0, 1.5};
  const double coms[2] = {0.13, 0.11};
  for (int i = 0; i < 2; ++i) {
    Segment link;
    link.name = i == 0 ? "upper" : "lower";
    link.parent = i;
    link.p_PB = i == 0 ? Vec3::Zero() : Vec3(0.0, 0.0, -0.30);
    link.first_hinge = i;
    link.n_hinges = 1;
    link.mass_kg = masses[i];
    link.p_Bcm = Vec3(0.0, 0.0, -coms[i]);
    tree.segments.push_back(link);
    tree.hinges.push_back({link.name + " hinge", i + 1, Axis::kX, 1.0, -3.0, 3.0});
    tree.mass_kg += link.mass_kg;
  }
  return tree;
}

TEST(TwoLinks, AgreeWithTheClosedFormAndAnOutsideLibrary) {
  // Expected numbers: closed form d(a, l) = (l sin a, -l cos a), also confirmed with Simbody 3.7 to 1e-12 m, 1e-9 Nm.
  const Tree tree = make_two_link_tree();
  Posture posture;
  posture.angles = DofVector(2);
  posture.angles << 0.7, -1.1;
  Kinematics kinematics;
  update_kinematics(tree, posture, kinematics);
  EXPECT_TRUE(is_near(kinematics.p_Wcm, Vec3(0.0, 0.112325866, -0.198575148), 1e-9, "m"));
  EXPECT_TRUE(is_near(find_position(kinematics, 2, Vec3(0.0, 0.0, -0.25)), Vec3(0.0, 0.095910721, -0.459717905), 1e-9));
  DofVector torques;
  calc_gravity_torques(tree, kinematics, torques);
  EXPECT_TRUE(is_near(torques.tail(2), Eigen::Vector2d(3.855391593, -0.630116749), 1e-9, "Nm"));
}

TEST(Tree, FindsSegmentsAndHingesByName) {
  const Tree tree = make_two_link_tree();
  EXPECT_EQ(tree.find_segment("lower"), 2);
  EXPECT_EQ(tree.find_hinge("upper hinge"), 0);
  EXPECT_EQ(tree.find_segment("tail"), -1);
  EXPECT_EQ(tree.find_hinge("lower"), -1);
}

TEST(Posture, StepsTurnTheRootAboutWorldAxes) {
  Posture posture;
  posture.angles = DofVector::Zero(1);
  DofVector v(7);
  v << 0.1, 0.2, 0.3, 0.0, 0.0, std::acos(0.0), 0.5;
  posture.step(v);
  EXPECT_TRUE(is_near(posture.p_WB, Vec3(0.1, 0.2, 0.3), 1e-15));
  EXPECT_TRUE(is_near(posture.R_WB * Vec3::UnitX(), Vec3::UnitY(), 1e-15));
  EXPECT_DOUBLE_EQ(posture.angles[0], 0.5);
}

class BodyKinematics : public testing::TestWithParam<Sex> {
 protected:
  const Body body_ = make_body(make_measures(GetParam()));
  const Tree& tree_ = body_.tree;
};
INSTANTIATE_TEST_SUITE_P(, BodyKinematics, testing::Values(Sex::kFemale, Sex::kMale),
                         [](const auto& param) { return param.param == Sex::kMale ? "Male" : "Female"; });

TEST_P(BodyKinematics, JacobiansAgreeWithDifferencesGradientConsistency) {
  RandomStream random(11);
  for (int trial = 0; trial < 10; ++trial) {
    const Posture posture = draw_posture(tree_, random);
    const int segment = static_cast<int>(random.next() % static_cast<unsigned>(tree_.n_segments()));
    const Vec3 p_BQ(random.symmetric(0.3), random.symmetric(0.3), random.symmetric(0.3));
    Kinematics kinematics;
    update_kinematics(tree_, posture, kinematics);
    Jacobian3 J_point;
    Jacobian3 J_com;
    Jacobian3 J_angular;
    calc_point_jacobian(tree_, kinematics, segment, find_position(kinematics, segment, p_BQ), J_point);
    calc_com_jacobian(tree_, kinematics, J_com);
    calc_angular_jacobian(tree_, kinematics, segment, J_angular);
    for (int i = 0; i < tree_.n_dof(); ++i) {
      Kinematics moved[2];
      for (int side = 0; side < 2; ++side) {
        Posture other = posture;
        DofVector v = DofVector::Zero(tree_.n_dof());
        v[i] = side == 0 ? -kDifferenceStep : kDifferenceStep;
        other.step(v);
        update_kinematics(tree_, other, moved[side]);
      }
      const double width = 2.0 * kDifferenceStep;
      const Vec3 point = (find_position(moved[1], segment, p_BQ) - find_position(moved[0], segment, p_BQ)) / width;
      const Vec3 com = (moved[1].p_Wcm - moved[0].p_Wcm) / width;
      const auto s = static_cast<std::size_t>(segment);
      const Mat3 spin = (moved[1].R_WB[s] - moved[0].R_WB[s]) / width * kinematics.R_WB[s].transpose();
      EXPECT_TRUE(is_near(J_point.col(i), point, kDifferenceTolerance)) << "dof " << i;
      EXPECT_TRUE(is_near(J_com.col(i), com, kDifferenceTolerance)) << "dof " << i;
      EXPECT_TRUE(is_near(J_angular.col(i), Vec3(spin(2, 1), spin(0, 2), spin(1, 0)), kDifferenceTolerance))
          << "dof " << i;
    }
  }
}

TEST_P(BodyKinematics, GravityTorquesAreTheWeightTimesTheComJacobian) {
  RandomStream random(12);
  for (int trial = 0; trial < 20; ++trial) {
    Kinematics kinematics;
    update_kinematics(tree_, draw_posture(tree_, random), kinematics);
    Jacobian3 J;
    calc_com_jacobian(tree_, kinematics, J);
    DofVector torques;
    calc_gravity_torques(tree_, kinematics, torques);
    EXPECT_TRUE(is_near(torques, (tree_.mass_kg * kGravity * J.row(2)).transpose(), 1e-10, "Nm"));
  }
}

std::array<AppliedForce, 8> draw_forces(const Tree& tree, const Kinematics& kinematics, RandomStream& random) {
  std::array<AppliedForce, 8> forces;
  for (AppliedForce& force : forces) {
    force.segment = static_cast<int>(random.next() % static_cast<unsigned>(tree.n_segments()));
    force.p_WQ = find_position(kinematics, force.segment, Vec3(random.symmetric(0.2), random.symmetric(0.2), -0.1));
    force.f_Q_W = 300.0 * Vec3(random.symmetric(1.0), random.symmetric(1.0), random.symmetric(1.0));
  }
  return forces;
}

TEST_P(BodyKinematics, HoldingTorquesTakeAwayTheForcesThroughTheirJacobians) {
  RandomStream random(13);
  for (int trial = 0; trial < 20; ++trial) {
    Kinematics kinematics;
    update_kinematics(tree_, draw_posture(tree_, random), kinematics);
    const auto forces = draw_forces(tree_, kinematics, random);
    DofVector expected;
    calc_gravity_torques(tree_, kinematics, expected);
    for (const AppliedForce& force : forces) {
      Jacobian3 J;
      calc_point_jacobian(tree_, kinematics, force.segment, force.p_WQ, J);
      expected -= J.transpose() * force.f_Q_W;
    }
    DofVector torques;
    calc_holding_torques(tree_, kinematics, forces.data(), static_cast<int>(forces.size()), torques);
    EXPECT_TRUE(is_near(torques, expected, 1e-9, "Nm"));
  }
}

TEST_P(BodyKinematics, TorqueGradientAgreesWithDifferencesGradientConsistency) {
  RandomStream random(14);
  for (int trial = 0; trial < 20; ++trial) {
    const Posture posture = draw_posture(tree_, random);
    Kinematics kinematics;
    update_kinematics(tree_, posture, kinematics);
    const auto forces = draw_forces(tree_, kinematics, random);
    const DofVector y = draw_dof_vector(tree_.n_dof(), random);
    DofVector gradient;
    calc_torque_gradient(tree_, kinematics, y, forces.data(), static_cast<int>(forces.size()), gradient);
    DofVector differences(tree_.n_dof());
    for (int i = 0; i < tree_.n_dof(); ++i) {
      double power[2];
      for (int side = 0; side < 2; ++side) {
        Posture other = posture;
        DofVector v = DofVector::Zero(tree_.n_dof());
        v[i] = side == 0 ? -kDifferenceStep : kDifferenceStep;
        other.step(v);
        Kinematics moved;
        update_kinematics(tree_, other, moved);
        DofVector torques;  // the forces keep their points in W
        calc_holding_torques(tree_, moved, forces.data(), static_cast<int>(forces.size()), torques);
        power[side] = y.dot(torques);
      }
      differences[i] = (power[1] - power[0]) / (2.0 * kDifferenceStep);
    }
    EXPECT_TRUE(is_near(gradient, differences, kGradientTolerance * differences.cwiseAbs().maxCoeff()));
  }
}

TEST_P(BodyKinematics, AllocatesNothing) {
  RandomStream random(15);
  const Posture posture = draw_posture(tree_, random);
  const DofVector y = draw_dof_vector(tree_.n_dof(), random);
  Kinematics kinematics;
  Jacobian3 J;
  DofVector result;
  TorqueLimits limits;
  double sum = 0.0;
  const std::size_t before = allocation_count();
  update_kinematics(tree_, posture, kinematics);
  const AppliedForce force = {5, find_position(kinematics, 5, Vec3::Zero()), Vec3::UnitZ()};
  calc_point_jacobian(tree_, kinematics, 5, force.p_WQ, J);
  calc_angular_jacobian(tree_, kinematics, 5, J);
  calc_com_jacobian(tree_, kinematics, J);
  calc_gravity_torques(tree_, kinematics, result);
  calc_holding_torques(tree_, kinematics, &force, 1, result);
  calc_torque_gradient(tree_, kinematics, y, &force, 1, result);
  calc_torque_limits(body_, posture.angles, limits);
  for (const CoupledLimit& limit : body_.coupled_limits) sum += find_coupled_limit(limit, posture.angles).value;
  Posture moved = posture;
  moved.step(y);
  EXPECT_EQ(allocation_count() - before, 0U) << sum;
}

}  // namespace
}  // namespace steepwright::body
