#include "engine/body/body.h"
#include "engine/core/constants.h"
#include "tests/body/random_posture.h"
#include "tests/peers/simbody/plain_tree.h"
#include "tests/support/matchers.h"

namespace steepwright::peers {
namespace {

using body::Body;
using body::Kinematics;
using body::Posture;
using tests::is_near;

constexpr int kPostureCount = 100;
constexpr double kPositionTolerance_m = 1e-9;
constexpr double kTorqueTolerance_Nm = 1e-6;

// Every test walks through the same 100 random postures of the whole body.
class AgainstSimbody : public testing::TestWithParam<body::Sex> {
 protected:
  template <typename Check>
  void for_each_posture(Check check) {
    RandomStream random(41);
    for (int i = 0; i < kPostureCount; ++i) {
      const Posture posture = tests::draw_posture(body_.tree, random);
      update_kinematics(body_.tree, posture, kinematics_);
      model_.set_posture(add_posture(model_, posture));
      check(random);
      if (HasFailure()) FAIL() << "in posture " << i;
    }
  }

  const Body body_ = body::make_body(tests::make_measures(GetParam()));
  SimbodyModel model_{make_plain_segments(body_.tree), kGravity};
  Kinematics kinematics_;
};
INSTANTIATE_TEST_SUITE_P(, AgainstSimbody, testing::Values(body::Sex::kFemale, body::Sex::kMale),
                         [](const auto& param) { return param.param == body::Sex::kMale ? "Male" : "Female"; });

TEST_P(AgainstSimbody, JointCentresStationsAndCentreOfMassAgree) {
  for_each_posture([&](RandomStream&) {
    EXPECT_TRUE(is_near(kinematics_.p_Wcm, from_plain(model_.find_com()), kPositionTolerance_m, "m"));
    for (int s = 0; s < body_.tree.n_segments(); ++s) {
      for (const Vec3& p_BQ : {Vec3(0.0, 0.0, 0.0), Vec3(0.1, -0.2, 0.3)}) {
        EXPECT_TRUE(is_near(find_position(kinematics_, s, p_BQ), from_plain(model_.find_position(s, to_plain(p_BQ))),
                            kPositionTolerance_m, "m"))
            << body_.tree.segments[static_cast<std::size_t>(s)].name;
      }
    }
  });
}

TEST_P(AgainstSimbody, GravityTorquesAgree) {
  for_each_posture([&](RandomStream&) {
    body::DofVector torques;
    calc_gravity_torques(body_.tree, kinematics_, torques);
    const std::vector<double> expected = model_.calc_holding_torques({});
    EXPECT_TRUE(is_near(torques, Eigen::Map<const Eigen::VectorXd>(expected.data(), body_.tree.n_dof()),
                        kTorqueTolerance_Nm, "Nm"));
  });
}

TEST_P(AgainstSimbody, HoldingTorquesWithHoldForcesAgree) {
  for_each_posture([&](RandomStream& random) {
    std::vector<body::AppliedForce> forces;
    std::vector<PlainForce> plain;
    for (const Limb limb : kLimbs) {
      const body::Station& station = body_.station(limb, Grip::kHalfCrimp);
      const Vec3 f = 400.0 * Vec3(random.symmetric(1.0), random.symmetric(1.0), random.symmetric(1.0));
      forces.push_back({station.segment, find_position(kinematics_, station.segment, station.p_BC), f});
      plain.push_back({station.segment, to_plain(station.p_BC), to_plain(f)});
    }
    body::DofVector torques;
    calc_holding_torques(body_.tree, kinematics_, forces.data(), static_cast<int>(forces.size()), torques);
    const std::vector<double> expected = model_.calc_holding_torques(plain);
    EXPECT_TRUE(is_near(torques, Eigen::Map<const Eigen::VectorXd>(expected.data(), body_.tree.n_dof()),
                        kTorqueTolerance_Nm, "Nm"));
  });
}

TEST_P(AgainstSimbody, JacobiansAgree) {
  std::vector<int> segments;
  std::vector<std::array<double, 3>> stations;
  for (const Limb limb : kLimbs) {
    const body::Station& station = body_.station(limb, Grip::kOpenHand);
    segments.push_back(station.segment);
    stations.push_back(to_plain(station.p_BC));
  }
  model_.set_stations(segments, stations);
  for_each_posture([&](RandomStream&) {
    model_.calc_com_jacobian();
    model_.calc_station_jacobians();
    const int n = body_.tree.n_dof();
    Eigen::Matrix3Xd expected(3, n);
    body::Jacobian3 J;
    calc_com_jacobian(body_.tree, kinematics_, J);
    for (int row = 0; row < 3; ++row) {
      for (int column = 0; column < n; ++column) expected(row, column) = model_.com_jacobian(row, column);
    }
    EXPECT_TRUE(is_near(J, expected, kPositionTolerance_m, "m"));
    for (std::size_t k = 0; k < segments.size(); ++k) {
      calc_point_jacobian(body_.tree, kinematics_, segments[k],
                          find_position(kinematics_, segments[k], from_plain(stations[k])), J);
      for (int row = 0; row < 3; ++row) {
        for (int column = 0; column < n; ++column) {
          expected(row, column) = model_.station_jacobian(static_cast<int>(k), row, column);
        }
      }
      EXPECT_TRUE(is_near(J, expected, kPositionTolerance_m, "m")) << "contact " << k;
    }
  });
}

}  // namespace
}  // namespace steepwright::peers
