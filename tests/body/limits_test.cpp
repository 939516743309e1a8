#include "engine/body/body.h"
#include "engine/core/constants.h"
#include "engine/core/units.h"
#include "tests/body/random_posture.h"
#include "tests/support/matchers.h"

#include <cmath>

namespace steepwright::body {
namespace {

using tests::draw_posture;
using tests::make_measures;

constexpr double kDifferenceStep = 1e-6;

Measures with_flexibility(Flexibility flexibility) {
  Measures measures = make_measures(Sex::kMale);
  measures.flexibility = flexibility;
  return measures;
}

// Value of a ball joint's coupled limit at angles in degrees.
double find_value_at(const Body& body, const std::string& joint, double flexion_deg, double abduction_deg,
                     double rotation_deg) {
  for (const CoupledLimit& limit : body.coupled_limits) {
    if (limit.name != joint) continue;
    DofVector angles = DofVector::Zero(body.tree.n_hinges());
    angles[limit.hinges[0]] = rad_from_deg(flexion_deg);
    angles[limit.hinges[1]] = rad_from_deg(abduction_deg);
    angles[limit.hinges[2]] = rad_from_deg(rotation_deg);
    return find_coupled_limit(limit, angles).value;
  }
  ADD_FAILURE() << "no coupled limit " << joint;
  return 0.0;
}

struct ProfileEnds {
  Flexibility flexibility;
  double hip_flexion, hip_abduction_straight, hip_abduction_frog, hip_external, hip_internal, shoulder;
};
// The design profiles: average / flexible / very flexible, degrees.
const ProfileEnds kProfiles[] = {{Flexibility::kAverage, 122, 42, 50, 42, 38, 172},
                                 {Flexibility::kFlexible, 140, 55, 65, 55, 45, 182},
                                 {Flexibility::kVeryFlexible, 150, 65, 80, 65, 50, 188}};

TEST(CoupledLimit, HasTheSingleEndsOfTheProfilesOnItsBorder) {
  constexpr double kOnBorder = 1e-6;
  for (const ProfileEnds& profile : kProfiles) {
    const Body body = make_body(with_flexibility(profile.flexibility));
    for (const std::string side : {"left ", "right "}) {
      EXPECT_NEAR(find_value_at(body, side + "hip", profile.hip_flexion, 0, 0), 0.0, kOnBorder);
      EXPECT_NEAR(find_value_at(body, side + "hip", 0, profile.hip_abduction_straight, 0), 0.0, kOnBorder);
      EXPECT_NEAR(find_value_at(body, side + "hip", 90, 0, -profile.hip_external), 0.0, kOnBorder);
      EXPECT_NEAR(find_value_at(body, side + "hip", 90, 0, profile.hip_internal), 0.0, kOnBorder);
      EXPECT_NEAR(find_value_at(body, side + "shoulder", profile.shoulder, 0, 0), 0.0, kOnBorder);
      EXPECT_NEAR(find_value_at(body, side + "shoulder", 0, profile.shoulder, 0), 0.0, kOnBorder);
    }
  }
}

TEST(CoupledLimit, LetsABentHipOpenWiderThanAStraightOne) {
  for (const ProfileEnds& profile : kProfiles) {
    const Body body = make_body(with_flexibility(profile.flexibility));
    const double half_external = -0.5 * profile.hip_external;
    EXPECT_GT(find_value_at(body, "left hip", 90, profile.hip_abduction_frog, half_external), 0.0);
    EXPECT_LT(find_value_at(body, "left hip", 0, profile.hip_abduction_frog, half_external), 0.0);
  }
}

TEST(CoupledLimit, HoldsTheArmsUprightAndStanding) {
  const Body body = make_body(make_measures(Sex::kFemale));
  EXPECT_GT(find_value_at(body, "right shoulder", 0, 0, 0), 0.2);
  EXPECT_GT(find_value_at(body, "right hip", 0, 0, 0), 0.2);
  // Straight up and out in a V, and level to the side: everyday arm positions.
  EXPECT_GT(find_value_at(body, "right shoulder", 160, 40, 0), 0.0);
  EXPECT_GT(find_value_at(body, "right shoulder", 0, 90, 0), 0.0);
  // Level and 60 degrees behind the body is out of range (45 is the end).
  EXPECT_LT(find_value_at(body, "right shoulder", 90, 150, 0), 0.0);
}

TEST(CoupledLimit, DerivativesAgreeWithDifferencesGradientConsistency) {
  RandomStream random(21);
  const Body body = make_body(make_measures(Sex::kMale));
  for (int trial = 0; trial < 200; ++trial) {
    const DofVector angles = 1.1 * draw_posture(body.tree, random).angles;
    for (const CoupledLimit& limit : body.coupled_limits) {
      const CoupledLimitValue value = find_coupled_limit(limit, angles);
      for (std::size_t k = 0; k < 3; ++k) {
        DofVector low = angles;
        DofVector high = angles;
        low[limit.hinges[k]] -= kDifferenceStep;
        high[limit.hinges[k]] += kDifferenceStep;
        const double difference =
            (find_coupled_limit(limit, high).value - find_coupled_limit(limit, low).value) / (2.0 * kDifferenceStep);
        EXPECT_NEAR(value.gradient[k], difference, 1e-6 * (1.0 + std::abs(difference))) << limit.name << " " << k;
      }
    }
  }
}

TEST(TorqueLimits, DerivativesAgreeWithDifferencesGradientConsistency) {
  RandomStream random(22);
  const Body body = make_body(make_measures(Sex::kFemale));
  for (int trial = 0; trial < 200; ++trial) {
    const DofVector angles = 1.05 * draw_posture(body.tree, random).angles;
    const DofVector step = DofVector::Constant(angles.size(), kDifferenceStep);
    TorqueLimits at;
    TorqueLimits low;
    TorqueLimits high;
    calc_torque_limits(body, angles, at);
    calc_torque_limits(body, angles - step, low);
    calc_torque_limits(body, angles + step, high);
    for (std::size_t i = 0; i < body.tree.hinges.size(); ++i) {
      const auto check = [&](double TorqueLimit::*value, double TorqueLimit::*slope) {
        const double difference = (high[i].*value - low[i].*value) / (2.0 * kDifferenceStep);
        // The ligament curve has a jump in its second derivative: an error of order step there.
        EXPECT_NEAR(at[i].*slope, difference, 1e-4 * (1.0 + std::abs(difference))) << body.tree.hinges[i].name;
      };
      check(&TorqueLimit::active_lower, &TorqueLimit::d_active_lower);
      check(&TorqueLimit::active_upper, &TorqueLimit::d_active_upper);
      check(&TorqueLimit::passive_lower, &TorqueLimit::d_passive_lower);
      check(&TorqueLimit::passive_upper, &TorqueLimit::d_passive_upper);
    }
  }
}

// Reference persons of the strength tables.
Measures make_reference_measures(Sex sex) {
  Measures measures;
  measures.sex = sex;
  measures.stature_m = sex == Sex::kMale ? 1.755 : 1.63;
  measures.mass_kg = sex == Sex::kMale ? 75.0 : 62.0;
  return measures;
}

double find_active(const Body& body, const std::string& hinge, double angle_deg, double TorqueLimit::*direction) {
  DofVector angles = DofVector::Zero(body.tree.n_hinges());
  const int index = body.tree.find_hinge(hinge);
  angles[index] = rad_from_deg(angle_deg);
  TorqueLimits limits;
  calc_torque_limits(body, angles, limits);
  return limits[static_cast<std::size_t>(index)].*direction;
}

TEST(TorqueLimits, MeetTheMediansAtTheReferencePersons) {
  // Peaks by Anderson et al. 2007 (Nm and angle) and the medians of the other joints; 1 % for the rounded floor.
  struct Row {
    const char* hinge;
    double angle_deg;
    double TorqueLimit::*direction;
    double male, female;
  };
  const Row rows[] = {{"left hip flexion", 53, &TorqueLimit::active_lower, 208, 0},
                      {"left hip flexion", 71, &TorqueLimit::active_lower, 0, 179},
                      {"left knee flexion", 65, &TorqueLimit::active_lower, 210, 0},
                      {"left knee flexion", 73, &TorqueLimit::active_lower, 0, 158},
                      {"left knee flexion", 30, &TorqueLimit::active_upper, 112, 0},
                      {"left knee flexion", 36, &TorqueLimit::active_upper, 0, 79},
                      {"left hip flexion", -12, &TorqueLimit::active_upper, 146, 0},
                      {"left ankle dorsiflexion", 23, &TorqueLimit::active_lower, 123, 0},
                      {"left ankle dorsiflexion", 24, &TorqueLimit::active_lower, 0, 103},
                      {"left ankle dorsiflexion", -11, &TorqueLimit::active_upper, 43, 0},
                      {"right shoulder flexion", 40, &TorqueLimit::active_lower, 90, 46},
                      {"right shoulder abduction", 40, &TorqueLimit::active_lower, 70, 32},
                      {"right elbow flexion", 90, &TorqueLimit::active_upper, 75, 40},
                      {"right elbow flexion", 90, &TorqueLimit::active_lower, 48, 27},
                      {"right wrist flexion", 0, &TorqueLimit::active_upper, 12, 8},
                      {"lumbar flexion", 0, &TorqueLimit::active_lower, 230, 150}};
  const Body male = make_body(make_reference_measures(Sex::kMale));
  const Body female = make_body(make_reference_measures(Sex::kFemale));
  for (const Row& row : rows) {
    if (row.male > 0) {
      EXPECT_NEAR(find_active(male, row.hinge, row.angle_deg, row.direction), row.male, 0.011 * row.male) << row.hinge;
    }
    if (row.female > 0) {
      EXPECT_NEAR(find_active(female, row.hinge, row.angle_deg, row.direction), row.female, 0.011 * row.female)
          << row.hinge;
    }
  }
}

TEST(TorqueLimits, GrowWithTheStrengthFactorOfTheirGroupOnly) {
  const Body usual = make_body(make_reference_measures(Sex::kMale));
  Measures measures = make_reference_measures(Sex::kMale);
  measures.arm_strength = 1.5;
  const Body strong = make_body(measures);
  EXPECT_NEAR(find_active(strong, "left elbow flexion", 90, &TorqueLimit::active_upper),
              1.5 * find_active(usual, "left elbow flexion", 90, &TorqueLimit::active_upper), 1e-9);
  EXPECT_DOUBLE_EQ(find_active(strong, "left knee flexion", 60, &TorqueLimit::active_lower),
                   find_active(usual, "left knee flexion", 60, &TorqueLimit::active_lower));
}

TEST(TorqueLimits, KeepAFloorInDeepKneeBendAndFullPlantarflexion) {
  // The cosine would give zero there, an artefact outside its tested range.
  const Body body = make_body(make_reference_measures(Sex::kMale));
  EXPECT_GE(find_active(body, "left knee flexion", 140, &TorqueLimit::active_lower), 0.30 * 210.0);
  EXPECT_GE(find_active(body, "left ankle dorsiflexion", -55, &TorqueLimit::active_lower), 0.20 * 123.0);
}

TEST(TorqueLimits, LetLigamentsHoldAStraightElbowAndALockedKnee) {
  const Body body = make_body(make_reference_measures(Sex::kMale));
  for (const char* hinge : {"left elbow flexion", "right knee flexion"}) {
    // Against opening further: a torque towards flexion, that is towards the range's inside.
    EXPECT_GT(find_active(body, hinge, -1, &TorqueLimit::passive_upper), 40.0) << hinge;
    EXPECT_EQ(find_active(body, hinge, 30, &TorqueLimit::passive_upper), 0.0) << hinge;
    EXPECT_EQ(find_active(body, hinge, -1, &TorqueLimit::passive_lower), 0.0) << hinge;
  }
}

}  // namespace
}  // namespace steepwright::body
